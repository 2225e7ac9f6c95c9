package kit

import (
	"strings"
	"unicode/utf8"
)

// textWidth is the width of README.txt, in characters.
const textWidth = 78

// A textPage is plain text, wrapped.
type textPage struct{ strings.Builder }

func (t *textPage) title(s string) {
	t.WriteString(s + "\n" + strings.Repeat("=", min(utf8.RuneCountInString(s), textWidth)) + "\n")
}

func (t *textPage) head(s string) {
	t.WriteString("\n" + s + "\n" + strings.Repeat("-", utf8.RuneCountInString(s)) + "\n")
}

// para writes a paragraph after an empty line.
func (t *textPage) para(s string) { t.wrap("\n", "", s) }

// item writes an entry of a list.
func (t *textPage) item(s string) { t.wrap("- ", "  ", s) }

// wrap breaks s at spaces. The first line begins with first, the others with
// rest; a first that is a newline stands above.
func (t *textPage) wrap(first, rest, s string) {
	t.WriteString(first)
	used := 0
	if !strings.HasSuffix(first, "\n") {
		used = utf8.RuneCountInString(first)
	}
	begin := true
	for _, word := range strings.Fields(s) {
		n := utf8.RuneCountInString(word)
		switch {
		case begin:
		case used+1+n > textWidth:
			t.WriteString("\n" + rest)
			used = utf8.RuneCountInString(rest)
		default:
			t.WriteByte(' ')
			used++
		}
		begin = false
		t.WriteString(word)
		used += n
	}
	t.WriteByte('\n')
}
