package job

import (
	"bytes"
	"fmt"
	"runtime"
	"strings"
	"unicode/utf8"
)

// A DamageError reports a file that is no valid job. The file is left as it is.
type DamageError struct {
	Path         string
	Line, Column int // from 1, of the place that Reason speaks of
	Reason       string
	Copy         string // path of the last good copy, or "" if there is none
	Entries      int    // in the copy
	Last         string // time of the copy's last entry
}

// Error implements error.
func (e *DamageError) Error() string {
	s := fmt.Sprintf("%s is damaged: line %d, column %d: %s; it is left as it is; ", e.Path, e.Line, e.Column, e.Reason)
	if e.Copy == "" {
		return s + "there is no good copy beside it: mend the line in a text editor, or bring the file back from a backup"
	}
	return s + fmt.Sprintf("mend the line in a text editor, or go on from the last good copy, which has %s, the last of %s: %s",
		count(e.Entries, "entry", "entries"), e.Last,
		moves([2]string{e.Path, e.Path + ".damaged"}, [2]string{e.Copy, e.Path}))
}

// A NewerError reports a file of a newer program. It is left as it is.
type NewerError struct{ Path, Schema string }

// Error implements error.
func (e *NewerError) Error() string {
	return fmt.Sprintf("%s was written by a newer program: its schema is %q, and this program reads and writes %q; the file is left as it is; use the newer program for it",
		e.Path, e.Schema, Schema)
}

// A flaw is what makes a file invalid, and where.
type flaw struct {
	line, column int
	reason       string
}

// Error implements error.
func (f *flaw) Error() string {
	return fmt.Sprintf("line %d, column %d: %s", f.line, f.column, f.reason)
}

// newerSchema is the schema of a newer program.
type newerSchema string

// Error implements error.
func (s newerSchema) Error() string { return "newer schema " + string(s) }

// otherSchema is that of a file that is not a job.
type otherSchema struct {
	schema string
	*flaw
}

// Unwrap returns the flaw.
func (s *otherSchema) Unwrap() error { return s.flaw }

// flawAt describes the flaw at byte i of data. Columns count characters.
func flawAt(data []byte, i int, format string, args ...any) *flaw {
	i = max(0, min(i, len(data)))
	before := data[:i]
	line := before[bytes.LastIndexByte(before, '\n')+1:]
	return &flaw{1 + bytes.Count(before, []byte("\n")), 1 + utf8.RuneCount(line), fmt.Sprintf(format, args...)}
}

// count says "1 entry" or "2 entries".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// moves spells commands that move files, ready to be typed.
func moves(pairs ...[2]string) string {
	verb := "mv"
	if runtime.GOOS == "windows" {
		verb = "move"
	}
	var all []string
	for _, p := range pairs {
		all = append(all, fmt.Sprintf("%s %s %s", verb, quote(p[0]), quote(p[1])))
	}
	return strings.Join(all, ", then ")
}

// quote spells a path for a shell.
func quote(path string) string {
	plain := func(r rune) bool {
		return r >= utf8.RuneSelf || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || strings.ContainsRune(`/\.-_:+,@%`, r)
	}
	if strings.HasPrefix(path, "-") {
		path = "./" + path // not a flag
	}
	switch {
	case path != "" && strings.IndexFunc(path, func(r rune) bool { return !plain(r) }) < 0 && (runtime.GOOS == "windows" || !strings.Contains(path, `\`)):
		return path
	case runtime.GOOS == "windows":
		return `"` + path + `"`
	}
	return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
}
