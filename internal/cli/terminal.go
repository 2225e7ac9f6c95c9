package cli

import (
	"os"

	"golang.org/x/term"
)

func isTerminal(f *os.File) bool { return term.IsTerminal(int(f.Fd())) }

// width returns the columns of the terminal on standard output, or 100 where
// there is none.
func (s *Streams) width() int {
	if f, ok := s.Out.(*os.File); ok && s.OutTerminal {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil && w >= 40 {
			return w
		}
	}
	return 100
}
