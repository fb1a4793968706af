package csvread_test

import (
	"fmt"
	"testing"

	"weirkeeper/storage/csvread"
)

func FuzzRead(f *testing.F) {
	f.Add([]byte(head + "2026-03-09 08:30,F1,Ca,420,mg/L,Calcium titration,CD,\"after, change\"\n"))
	f.Add([]byte("\ufeffDate;Code;Parameter;Result;Units\r\n2026-03-09;F2;KH;<8,3;dKH\r\n;;;;\r\n"))
	f.Add([]byte("time\tsystem\tanalyte\tvalue\tunit\n\"2026\t"))
	f.Add([]byte(utf16(head) + "\x00"))
	f.Add([]byte(head + "\xb0,F1,temperature,\xff,\xb0C\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := readAll(t, string(data), csvread.ColumnMap{})
		if err != nil {
			return
		}
		if len(r.Faults) > csvread.MostFaults || min(r.BadLines, csvread.MostFaults) > len(r.Faults) {
			t.Fatalf("%d bad lines and %d faults", r.BadLines, len(r.Faults))
		}
		for _, r := range r.readings {
			if err := r.Validate(noon); err != nil {
				t.Fatalf("line %d passed with %v", r.Line, err)
			}
		}
		for _, fault := range r.Faults {
			if fault.Line < 2 || fault.Problem == "" || fault.Remedy == "" {
				t.Fatalf("fault %s", fmt.Sprint(fault))
			}
		}
	})
}
