package trace

import "strings"

// A quantity is what a unit is of.
type quantity int

const (
	noQuantity quantity = iota
	ofTime
	ofVoltage
)

// unitWord returns the size of a unit in seconds or millivolts.
func unitWord(s string) (float64, quantity) {
	s = strings.ToLower(strings.TrimSpace(s))
	s = strings.NewReplacer("\u00b5", "u", "\u03bc", "u", "micro", "u", "milli", "m", "nano", "n").Replace(s)
	switch s {
	case "s", "sec", "secs", "second", "seconds":
		return 1, ofTime
	case "ms", "msec", "msecond", "mseconds":
		return 1e-3, ofTime
	case "us", "usec", "usecond", "useconds":
		return 1e-6, ofTime
	case "ns", "nsec", "nsecond", "nseconds":
		return 1e-9, ofTime
	case "ps":
		return 1e-12, ofTime
	case "v", "volt", "volts":
		return 1e3, ofVoltage
	case "mv", "mvolt", "mvolts":
		return 1, ofVoltage
	case "uv", "uvolt", "uvolts":
		return 1e-3, ofVoltage
	}
	return 0, noQuantity
}

// unitOf takes a heading apart: "CH1 (V)", "Time [us]", "Y_mV", "t / s", "V".
func unitOf(s string) (name string, size float64, q quantity) {
	s = strings.TrimSpace(s)
	if size, q = unitWord(s); q != noQuantity {
		return s, size, q
	}
	for _, pair := range []string{"()", "[]"} {
		open, end := strings.LastIndexByte(s, pair[0]), strings.LastIndexByte(s, pair[1])
		if open >= 0 && end > open {
			if size, q = unitWord(s[open+1 : end]); q != noQuantity {
				return strings.TrimSpace(s[:open]), size, q
			}
		}
	}
	for _, sign := range []string{"/", "_", " in ", " "} {
		if at := strings.LastIndex(s, sign); at > 0 {
			if size, q = unitWord(s[at+len(sign):]); q != noQuantity {
				return strings.TrimSpace(s[:at]), size, q
			}
		}
	}
	return s, 0, noQuantity
}

// prefixed returns the size of a number with a metric prefix before its unit:
// "250 MS/s" is 250e6, "4 ns" is 4e-9; text is what stands behind the number.
func prefixed(text string) float64 {
	text = strings.TrimSpace(text)
	if size, q := unitWord(text); q == ofTime {
		return size
	}
	for prefix, size := range map[string]float64{"k": 1e3, "M": 1e6, "G": 1e9} {
		if strings.HasPrefix(text, prefix) {
			return size
		}
	}
	return 1
}
