package kit

import (
	"context"
	"crypto/sha256"
	"io"

	"backporch/internal/format"
	"backporch/internal/render"
)

// A madeFile is one file of a kit, written.
type madeFile struct {
	Name   string // within its own folder
	Format *format.Format
	Frames int
	Period int // frames until a moving picture repeats; 1 for a still
	Bytes  int64
	Sum    [sha256.Size]byte
	Lost   render.LostList
}

// render writes the file of a job, and keeps its bytes if it is told to.
func (f *madeFile) render(ctx context.Context, create creator, path func(string) string, job *render.Job, keep *[]byte) error {
	return f.write(create, path, func(w io.Writer) error {
		if keep != nil {
			w = io.MultiWriter(w, appender{keep})
		}
		return job.Write(ctx, w)
	})
}

// write creates the file at path(f.Name), counts its bytes and sums them up.
func (f *madeFile) write(create creator, path func(string) string, write func(io.Writer) error) error {
	out, err := create(path(f.Name))
	if err != nil {
		return err
	}
	h := sha256.New()
	n := &counter{w: io.MultiWriter(out, h)}
	if err := write(n); err != nil {
		out.Close()
		return err
	}
	f.Bytes = n.n
	h.Sum(f.Sum[:0])
	return out.Close()
}

// loop says how to play a video for longer than it lasts.
func (f *madeFile) loop() string {
	switch {
	case f.Format == nil || !f.Format.Stream:
		return ""
	case f.Period <= 1:
		return "still: repeat it"
	case f.Frames%f.Period == 0:
		return "moving: repeat it, it ends where it began"
	}
	return "moving: it jumps where it is repeated"
}

type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	c.n += int64(n)
	return n, err
}

type appender struct{ to *[]byte }

func (a appender) Write(p []byte) (int, error) {
	*a.to = append(*a.to, p...)
	return len(p), nil
}
