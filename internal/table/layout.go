package table

import (
	"strings"

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

// shrink takes what is too much for limit from the columns that may be wrapped,
// the last one first: down to its longest word, and only if that is not enough
// for all of them, down to the least. fixed marks columns that stay.
func shrink(widths, words []int, fixed []bool, limit int) {
	over := -limit + len(gap)*(len(widths)-1)
	for _, w := range widths {
		over += w
	}
	for _, soft := range []bool{true, false} {
		for i := len(widths) - 1; i >= 0 && over > 0; i-- {
			least := min(widths[i], minWidth)
			if soft {
				least = max(least, words[i])
			}
			if fixed[i] || widths[i] <= least {
				continue
			}
			take := min(over, widths[i]-least)
			widths[i] -= take
			over -= take
		}
	}
}
