package shell

import (
	"fmt"
	"net"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// displayTimeout bounds the try to reach a display.
const displayTimeout = 2 * time.Second

// CheckDisplay returns an error that says what to do when there is no display
// to open a window on. It only looks where displays are found by the
// environment (X11 and Wayland); elsewhere there always is one. getenv is
// os.Getenv or a stand-in.
func CheckDisplay(getenv func(string) string) error {
	switch runtime.GOOS {
	case "windows", "darwin", "android", "ios":
		return nil
	}
	if wayland := getenv("WAYLAND_DISPLAY"); wayland != "" {
		if !filepath.IsAbs(wayland) {
			wayland = filepath.Join(getenv("XDG_RUNTIME_DIR"), wayland)
		}
		if reachable("unix", wayland) {
			return nil
		}
	}
	display := getenv("DISPLAY")
	if display == "" {
		return words.New(
			"there is no display to open a window on (DISPLAY and WAYLAND_DISPLAY are not set); start it from a desktop session, or in a " +
				"virtual display with: xvfb-run weirkeeper",
		)
	}
	network, address, err := x11Address(display)
	if err != nil {
		return err
	}
	if reachable(network, address) || (network == "unix" && reachable(network, "@"+address)) {
		return nil
	}
	return words.Errorf(
		"the display %q does not answer; start the program from a desktop session, or set DISPLAY to a running one",
		display,
	)
}

// x11Address returns where the X server of a display such as ":0", "unix:0.1"
// or "host:10.0" listens.
func x11Address(display string) (network, address string, err error) {
	colon := strings.LastIndexByte(display, ':')
	if colon < 0 {
		return "", "", words.Errorf("DISPLAY is %q, which names no display such as :0", display)
	}
	host, number := display[:colon], display[colon+1:]
	number, _, _ = strings.Cut(number, ".")
	n, convErr := strconv.Atoi(number)
	if convErr != nil || n < 0 {
		return "", "", words.Errorf("DISPLAY is %q, which names no display such as :0", display)
	}
	if strings.HasPrefix(host, "/") {
		return "unix", display, nil
	}
	if host == "" || host == "unix" {
		return "unix", fmt.Sprintf("/tmp/.X11-unix/X%d", n), nil
	}
	return "tcp", net.JoinHostPort(host, strconv.Itoa(6000+n)), nil
}

func reachable(network, address string) bool {
	conn, err := net.DialTimeout(network, address, displayTimeout)
	if err != nil {
		return false
	}
	conn.Close()
	return true
}
