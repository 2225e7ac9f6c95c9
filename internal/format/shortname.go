package format

import (
	"fmt"
	"strings"
)

// ShortName returns a name of at most 8 characters, without extension, for a
// device whose file names have 8 and 3: the letters and digits of slug, in
// capitals, which are all that such names have. taken reports whether a name is
// in use already, and may be nil; the end of one that is gives way to a number.
func ShortName(slug string, taken func(name string) bool) string {
	name := strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, strings.ToUpper(slug))
	const most = 8
	if name == "" {
		name = "PICTURE"
	}
	name = name[:min(len(name), most)]
	use := func(s string) bool { return (taken == nil || !taken(s)) && !reservedName(s) }
	if use(name) {
		return name
	}
	for n := 2; ; n++ {
		tail := fmt.Sprint(n)
		if s := name[:min(len(name), most-len(tail))] + tail; use(s) {
			return s
		}
	}
}

// reservedName reports whether a name stands for a device on systems that have
// such short names, whatever its extension.
func reservedName(s string) bool {
	switch s {
	case "CON", "PRN", "AUX", "NUL":
		return true
	}
	return len(s) == 4 && (s[:3] == "COM" || s[:3] == "LPT") && s[3] >= '0' && s[3] <= '9'
}
