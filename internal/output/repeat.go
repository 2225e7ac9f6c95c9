package output

import "os"

// A Repeater writes the same bytes again and again. The writer that [File]
// hands out is one; on Linux it gives a pipe on standard output the pages
// themselves, so that a still picture is copied once, by the reader.
type Repeater interface {
	// Repeat writes p n times, as n calls of Write would, and calls after, if
	// it is not nil, with the number written so far. p must not change
	// meanwhile.
	Repeat(p []byte, n int, after func(done int)) error
}

// Repeat implements Repeater.
func (s *sink) Repeat(p []byte, n int, after func(done int)) error {
	var pages *shared
	if f, ok := s.w.(*os.File); ok && s.stdout && n > 1 {
		if pages = share(f, p); pages != nil {
			defer pages.free()
		}
	}
	for i := range n {
		sent := 0
		if pages != nil && s.err == nil && s.ctx.Err() == nil {
			k, err := pages.send()
			s.n += int64(k)
			sent = k
			if err != nil {
				pages = nil // not to be had here, or the reader has gone: write(2) tells
			}
		}
		if sent < len(p) {
			if _, err := s.Write(p[sent:]); err != nil {
				return err
			}
		}
		if after != nil {
			after(i + 1)
		}
	}
	return nil
}
