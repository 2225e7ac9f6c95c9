package table

import (
	"fmt"
	"strings"
	"unicode"
)

// unitWords spells units that are not letters.
var unitWords = strings.NewReplacer(
	"%", " percent ", "°", " deg ", "µ", "u", "μ", "u", "²", "2", "³", "3", "Δ", " delta ",
)

// snake turns a label or a unit into lower-case words of a key joined by
// underscores: "cd/m²" becomes cd_m2, "µs" us, "%" percent.
func snake(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range unitWords.Replace(s) {
		if r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			gap = true
			continue
		}
		if gap && b.Len() > 0 {
			b.WriteByte('_')
		}
		gap = false
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

// keyOf is the given key, or the one that a label and unit make: "Luma" in IRE
// is luma_ire.
func keyOf(key, name, unit string) string {
	if key != "" {
		return key
	}
	k := snake(name)
	if u := snake(unit); u != "" && !endsInUnit(k, u) {
		k = strings.TrimPrefix(k+"_"+u, "_")
	}
	return k
}

func endsInUnit(key, unit string) bool {
	return key == unit || strings.HasSuffix(key, "_"+unit)
}

// checkKey says what is wrong with a key, or nil: not made of lower-case words,
// not ending in its unit, or used twice among seen, to which it is added.
func checkKey(key, name, unit string, seen map[string]bool) error {
	key = keyOf(key, name, unit)
	switch {
	case key == "" || key != snake(key):
		return fmt.Errorf("table: the key %q of %q is not lower-case words joined by underscores", key, name)
	case snake(unit) != "" && !endsInUnit(key, snake(unit)):
		return fmt.Errorf("table: the key %q of %q does not end in its unit, _%s", key, name, snake(unit))
	case seen[key]:
		return fmt.Errorf("table: the key %q is used twice", key)
	}
	seen[key] = true
	return nil
}
