package table

import (
	"strings"
	"unicode"

	"github.com/rivo/uniseg"
)

const (
	gap      = "  " // between columns
	minWidth = 8    // to which a column of text may shrink, cells
)

// cellWidth is the width of s on a terminal: wide characters count two cells,
// combining marks none (Unicode Standard Annex #11 and #29, by uniseg).
func cellWidth(s string) int { return uniseg.StringWidth(s) }

// pad fills s to width cells.
func pad(s string, width int, a Align) string {
	fill := strings.Repeat(" ", max(0, width-cellWidth(s)))
	if a == Right {
		return fill + s
	}
	return s + fill
}

// wrap breaks s at spaces into lines of at most width cells, and inside words
// that are longer than that. width < 1 means no limit. There is always a line.
func wrap(s string, width int) []string {
	var lines []string
	for _, para := range strings.Split(s, "\n") {
		lines = append(lines, wrapLine(para, width)...)
	}
	return lines
}

func wrapLine(s string, width int) []string {
	if width < 1 || cellWidth(s) <= width {
		return []string{s}
	}
	var lines []string
	line, used := "", 0
	flush := func() {
		lines = append(lines, line)
		line, used = "", 0
	}
	for _, word := range strings.Fields(s) {
		w := cellWidth(word)
		if used > 0 && used+1+w <= width {
			line, used = line+" "+word, used+1+w
			continue
		}
		if used > 0 {
			flush()
		}
		for w > width {
			head, rest := cut(word, width)
			if rest == "" {
				break
			}
			lines = append(lines, head)
			word, w = rest, cellWidth(rest)
		}
		line, used = word, w
	}
	if used > 0 || len(lines) == 0 {
		flush()
	}
	return lines
}

// cut splits a word after as many whole characters as fit width, at least one.
func cut(word string, width int) (head, rest string) {
	used, state := 0, -1
	rest = word
	for rest != "" {
		_, next, w, st := uniseg.FirstGraphemeClusterInString(rest, state)
		if used > 0 && used+w > width {
			break
		}
		used += w
		rest, state = next, st
	}
	return word[:len(word)-len(rest)], rest
}

// longestWord is the width under which s would be cut inside a word.
func longestWord(s string) int {
	n := 0
	for _, w := range strings.Fields(s) {
		n = max(n, cellWidth(w))
	}
	return n
}

// isCode is whether s is figures that are read as one and never broken: digits
// and signs, with " to " or " and " between figures, such as
// "940 512 512 to 64 512 512".
func isCode(s string) bool {
	if strings.Contains(s, "\n") {
		return false
	}
	figure, joined := false, false // of the word before: has a digit; is to or and
	for _, w := range strings.Fields(s) {
		switch {
		case w == "to" || w == "and":
			if !figure {
				return false
			}
			figure, joined = false, true
		case strings.ContainsFunc(w, unicode.IsLetter):
			return false
		case strings.ContainsFunc(w, unicode.IsDigit):
			figure, joined = true, false
		case joined: // a sign alone
			return false
		}
	}
	return figure
}

// extent is what is known of the width of a column, in cells.
type extent struct {
	width int  // now
	word  int  // the longest word, or the longest code
	code  int  // the longest code, which is never broken
	fixed bool // never wrapped: numbers and codes only
}

// least is how narrow a column may become: its longest word, or where words are
// broken (hard) its longest code.
func (e extent) least(hard bool) int {
	if e.fixed {
		return e.width
	}
	n := max(e.code, minWidth)
	if !hard {
		n = max(n, e.word)
	}
	return min(n, e.width)
}

// shrink takes what is too much for limit from the columns that may be wrapped:
// from the last one, then from the widest, down to its longest word; and only if
// that is not enough for all of them, inside words.
func shrink(columns []extent, limit int) {
	over := -limit + len(gap)*(len(columns)-1)
	for _, e := range columns {
		over += e.width
	}
	for _, hard := range []bool{false, true} {
		next := len(columns) - 1
		for over > 0 && next >= 0 {
			e := &columns[next]
			take := min(over, e.width-e.least(hard))
			e.width -= take
			over -= take
			next = widest(columns, hard)
		}
	}
}

// widest is the widest column that can still give way, of equal ones the last;
// -1 if none can.
func widest(columns []extent, hard bool) int {
	n := -1
	for i, e := range columns {
		if e.width > e.least(hard) && (n < 0 || e.width >= columns[n].width) {
			n = i
		}
	}
	return n
}
