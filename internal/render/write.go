package render

import (
	"context"
	"io"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/pattern/frame"
)

// meta returns what the file says of itself.
func (j *Job) meta() format.Meta {
	shape := j.Raster.ShapeOn(j.Aspect)
	text := append([][2]string{
		{"Pattern", j.Spec},
		{"Raster", j.Raster.Name},
		{"Setup", SetupName(j.Plan)},
	}, j.Tags...)
	return format.Meta{Text: text, Shape: shape}
}

// SetupName says in a few words what the plan does to the file.
func SetupName(p colorimetry.Plan) string {
	switch {
	case p.Wire == nil && p.Player == nil:
		return "as player"
	case p.Plain() && p.Wire != nil:
		return p.Wire.Name
	case p.Plain():
		return "as player, " + p.Player.Name
	}
	return p.Wire.Name + " out of a " + p.Player.Name + " player"
}

// A repeater can write the same frame again and again faster than one by one.
type repeater interface {
	Repeat(p []byte, n int, after func(done int)) error
}

// Write writes the file. Each frame of a stream is one write; a still picture
// in a stream is packed once. It stops between frames when ctx is canceled.
func (j *Job) Write(ctx context.Context, w io.Writer) error {
	if !j.Format.Stream {
		return j.writeStill(w)
	}
	f, err := j.streamed(j.First)
	if err != nil {
		return err
	}
	header, err := j.Format.Header(j.lattice, j.meta())
	if err != nil {
		return err
	}
	if len(header) > 0 {
		if _, err := w.Write(header); err != nil {
			return err
		}
	}
	buf := j.Format.AppendFrame(make([]byte, 0, j.Format.FrameSize(j.lattice)), f)
	if r, ok := w.(repeater); ok && j.Scene.Period <= 1 {
		return r.Repeat(buf, max(1, j.Frames), func(done int) {
			if j.Progress != nil {
				j.Progress(done, j.Frames)
			}
		})
	}
	for n := range max(1, j.Frames) {
		if n > 0 && j.Scene.Period > 1 {
			if f, err = j.streamed(j.First + n); err != nil {
				return err
			}
			buf = j.Format.AppendFrame(buf[:0], f)
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if _, err := w.Write(buf); err != nil {
			return err
		}
		if j.Progress != nil {
			j.Progress(n+1, j.Frames)
		}
	}
	return nil
}

// writeStill writes a file of one picture.
func (j *Job) writeStill(w io.Writer) error {
	if j.Pixels() {
		x, err := j.Indexed(j.First)
		if err != nil {
			return err
		}
		return j.Format.Indexed(w, x, j.Raster, j.meta())
	}
	f, err := j.Frame(j.First)
	if err != nil {
		return err
	}
	return j.Format.Still(w, f, j.meta())
}

// streamed returns frame n as a stream is packed of it: [Job.Frame], or what the
// device has of it where its colors are counted.
func (j *Job) streamed(n int) (*frame.Frame, error) {
	if !j.Pixels() {
		return j.Frame(n)
	}
	x, err := j.Indexed(n)
	if err != nil {
		return nil, err
	}
	return x.Frame(j.Raster), nil
}
