package cli

import (
	"fmt"
	"strings"
	"sync"
	"time"
)

// A progress bar stands on standard error, on a terminal only, and only for
// work that takes longer than a second. It is drawn here because the library that
// did it brought an HTTP client with all its ciphers, a ninth of the program.
type progress struct {
	s     *Streams
	what  string
	start time.Time

	mu    sync.Mutex
	most  int       // that was shown
	width int       // of the line on the screen
	drawn time.Time // last
}

func newProgress(s *Streams, what string) *progress {
	return &progress{s: s, what: what, start: time.Now()}
}

// barWidth is the bar's own width in characters; redraw how often it changes.
const (
	barWidth = 30
	redraw   = 65 * time.Millisecond
)

// set shows that so many of total are done. It may be called from several
// goroutines.
func (p *progress) set(done, total int) {
	if !p.s.ErrTerminal || total <= 0 || time.Since(p.start) < time.Second {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	done = min(max(done, p.most), total)
	p.most = done
	if done < total && time.Since(p.drawn) < redraw {
		return
	}
	p.drawn = time.Now()
	full := barWidth * done / total
	p.line(fmt.Sprintf("%s [%s%s] %d/%d", p.what, strings.Repeat("=", full), strings.Repeat(" ", barWidth-full), done, total))
}

// line puts text in the place of what stood there. A bar that cannot be drawn is
// no reason to stop.
func (p *progress) line(text string) {
	_, _ = fmt.Fprintf(p.s.Err, "\r%-*s\r%s", p.width, "", text)
	p.width = len(text)
}

// done takes the bar away.
func (p *progress) done() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.width > 0 {
		p.line("")
	}
}
