package cli

import (
	"strings"
	"time"
)

// orNone joins names, or says that there are none.
func orNone(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}

// sentence ends a text with a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?") {
		return s
	}
	return s + "."
}

// listed joins names as a sentence does: a, b and c.
func listed(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// sentenceCase begins a clause with a capital letter.
func sentenceCase(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// forms refuses two forms at once before anything is done.
func (t *tableFlags) forms() error {
	if t.JSON && t.CSV {
		return t.print(nil, nil) // which refuses
	}
	return nil
}

// stamp is a time for people, to the minute, or for programs; UTC, as the record
// has it.
func (t *tableFlags) stamp(at time.Time) string {
	if t.JSON || t.CSV {
		return at.UTC().Format(time.RFC3339)
	}
	return at.UTC().Format("2006-01-02 15:04")
}
