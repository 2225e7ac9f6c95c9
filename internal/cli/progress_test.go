package cli

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// screen is what a terminal line shows after text with carriage returns.
func screen(text string) string {
	var line []byte
	at := 0
	for i := range len(text) {
		switch c := text[i]; {
		case c == '\r':
			at = 0
		case at < len(line):
			line[at] = c
			at++
		default:
			line = append(line, c)
			at++
		}
	}
	return strings.TrimRight(string(line), " ")
}

func TestProgress(t *testing.T) {
	var err strings.Builder
	p := newProgress(&Streams{Err: &err, ErrTerminal: true}, "frames")
	p.set(1, 10)
	assert.Empty(t, err.String(), "shown within the first second")

	p.start = p.start.Add(-time.Minute)
	p.set(5, 10)
	assert.Equal(t, "frames ["+strings.Repeat("=", 15)+strings.Repeat(" ", 15)+"] 5/10", screen(err.String()))
	shown := err.Len()
	p.set(6, 10)
	assert.Equal(t, shown, err.Len(), "drawn again at once")
	p.set(2, 10) // a slower worker is behind
	p.set(10, 10)
	assert.Equal(t, "frames ["+strings.Repeat("=", 30)+"] 10/10", screen(err.String()))
	p.set(11, 10)
	p.set(1, 0)
	p.done()
	assert.Empty(t, screen(err.String()), "the bar stays")

	err.Reset()
	q := newProgress(&Streams{Err: &err}, "frames") // no terminal
	q.start = q.start.Add(-time.Minute)
	q.set(5, 10)
	q.done()
	assert.Empty(t, err.String())
}
