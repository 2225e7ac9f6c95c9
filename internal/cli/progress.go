package cli

import (
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
)

// A progress bar stands on standard error, on a terminal only, and only for
// work that takes longer than a second.
type progress struct {
	s     *Streams
	what  string
	start time.Time

	mu  sync.Mutex
	bar *progressbar.ProgressBar
}

func newProgress(s *Streams, what string) *progress {
	return &progress{s: s, what: what, start: time.Now()}
}

// set shows that so many of total are done. It may be called from several
// goroutines.
func (p *progress) set(done, total int) {
	if !p.s.ErrTerminal || time.Since(p.start) < time.Second {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.bar == nil {
		p.bar = progressbar.NewOptions(total,
			progressbar.OptionSetWriter(p.s.Err), progressbar.OptionSetDescription(p.what),
			progressbar.OptionShowCount(), progressbar.OptionSetWidth(30),
			progressbar.OptionEnableColorCodes(p.s.Color), progressbar.OptionClearOnFinish())
	}
	_ = p.bar.Set(max(done, int(p.bar.State().CurrentNum))) // a bar that cannot be drawn is no reason to stop
}

// done takes the bar away.
func (p *progress) done() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.bar != nil {
		_ = p.bar.Clear()
	}
}
