package words

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"
)

// mark begins a text that has something packed in it. Then follow its format, for
// a count also its format for one thing, and its arguments, each as a letter for
// its kind, its length in bytes, a colon, and its value; so a text can stand in a
// text. Ledgers hold such texts: the form never changes.
const mark = "\x1d"

// The kinds of what is packed.
const (
	isFormat byte = 'p'
	isOne    byte = 'o'
	isInt    byte = 'd'
	isFloat  byte = 'f'
	isRune   byte = 'r'
	isString byte = 's'
	isText   byte = 't'
	isDay    byte = 'D'
	isMoment byte = 'M'
)

func packed(format, one string, args []any) Text {
	var b strings.Builder
	b.WriteString(mark)
	put(&b, isFormat, format)
	if one != "" {
		put(&b, isOne, one)
	}
	for _, a := range args {
		kind, value := pack(a)
		put(&b, kind, value)
	}
	return Text(b.String())
}

func put(b *strings.Builder, kind byte, value string) {
	b.WriteByte(kind)
	b.WriteString(strconv.Itoa(len(value)))
	b.WriteByte(':')
	b.WriteString(value)
}

func pack(a any) (kind byte, value string) {
	switch a := a.(type) {
	case string:
		return isString, a
	case rune:
		return isRune, strconv.Itoa(int(a))
	case Text, Worded, error:
		return isText, string(Of(a))
	case time.Time:
		return isDay, a.Format(time.RFC3339Nano)
	case Moment:
		return isMoment, time.Time(a).Format(time.RFC3339Nano)
	case fmt.Stringer:
		return isString, a.String()
	}
	switch v := reflect.ValueOf(a); v.Kind() {
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int64:
		return isInt, strconv.FormatInt(v.Int(), 10)
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32:
		return isInt, strconv.FormatUint(v.Uint(), 10)
	case reflect.Float32, reflect.Float64:
		return isFloat, strconv.FormatUint(math.Float64bits(v.Float()), 16)
	}
	return isString, fmt.Sprint(a)
}

// parts unpacks a text. What is no packed text is a format without arguments.
func (t Text) parts() (format, one string, args []any) {
	rest, ok := strings.CutPrefix(string(t), mark)
	if !ok {
		return string(t), "", nil
	}
	for first := true; rest != ""; first = false {
		kind, value, after, ok := take(rest)
		if !ok || first != (kind == isFormat) {
			return string(t), "", nil
		}
		rest = after
		switch kind {
		case isFormat:
			format = value
		case isOne:
			one = value
		default:
			args = append(args, unpack(kind, value))
		}
	}
	return format, one, args
}

func take(packed string) (kind byte, value, rest string, ok bool) {
	length, after, found := strings.Cut(packed[1:], ":")
	n, err := strconv.Atoi(length)
	if !found || err != nil || n < 0 || n > len(after) {
		return 0, "", "", false
	}
	return packed[0], after[:n], after[n:], true
}

// unpack reads what pack wrote, so numbers and times are well formed.
func unpack(kind byte, value string) any {
	switch kind {
	case isInt:
		n, _ := strconv.ParseInt(value, 10, 64)
		return n
	case isFloat:
		bits, _ := strconv.ParseUint(value, 16, 64)
		return math.Float64frombits(bits)
	case isRune:
		n, _ := strconv.Atoi(value)
		return rune(n)
	case isText:
		return Text(value)
	case isDay, isMoment:
		t, _ := time.Parse(time.RFC3339Nano, value)
		if kind == isMoment {
			return Moment(t)
		}
		return t
	}
	return value
}
