package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/internal/wavefile"
)

func (o *waveOptions) run(ctx context.Context) error {
	if o.Output == output.Stdout && o.OutTerminal {
		return usagef("standard output is a terminal; name a file with -o, or pipe the samples into a program")
	}
	q, laid, notes, err := o.request()
	if err != nil {
		return err
	}
	path := o.Output
	if path == "" {
		path = o.Words[0] + "-" + q.Raster + "-" + q.Wire.Name + "." + q.Format
	}
	if q.Format == wavefile.CSV {
		err = o.writeLines(ctx, path, q, laid)
	} else {
		err = o.writeFrames(ctx, path, q)
	}
	if err != nil {
		return err
	}
	for _, n := range notes {
		fmt.Fprintf(o.Err, "note: %s\n", n)
	}
	return nil
}

// writeLines writes a csv.
func (o *waveOptions) writeLines(ctx context.Context, path string, q *wavefile.Request, laid *render.Job) error {
	l, err := o.lines(q, laid.Raster)
	if err != nil {
		return err
	}
	err = output.File(ctx, path, o.Force, o.Out, func(w io.Writer) error { return q.WriteLines(w, l) })
	if err == nil && path != output.Stdout {
		what := "line"
		if l.First != l.Last {
			what = "lines"
		}
		fmt.Fprintf(o.Out, "%s: %s %s of %s, in us and mV\n", path, what, l, q.Wire.Name)
	}
	return err
}

// manyFrames is a loop that is so long that the user should know before it is
// written.
const manyFrames = 30

// writeFrames writes a file of words, and its description.
func (o *waveOptions) writeFrames(ctx context.Context, path string, q *wavefile.Request) error {
	bar := newProgress(o.Streams, "frames")
	q.Progress = bar.set
	defer bar.done()
	j, err := q.Layout()
	if err != nil {
		return &usageError{err: err}
	}
	direct := isDirect(path)
	if o.Sidecar != "" && !direct {
		return usagef("--sidecar belongs to -o - and to devices; the description of %s is written beside it, as %s", path, wavefile.SidecarName(path))
	}
	if o.Sidecar == output.Stdout {
		return usagef("--sidecar - would mix the description into the samples; name a file")
	}
	for _, p := range o.targets(path, direct) {
		// Refuse a target that cannot be before anything is computed.
		if err := output.Check(p, o.Force); err != nil {
			return err
		}
	}
	if j.Loop >= manyFrames {
		fmt.Fprintf(o.Err, "note: the signal repeats only after %d frames; writing %s\n", j.Loop, o.size(j))
	}
	var done wavefile.Written
	if direct {
		done, err = o.writeDirect(ctx, path, j)
	} else {
		done, err = o.writeSet(ctx, path, j)
	}
	if err != nil {
		return err
	}
	bar.done()
	o.summary(path, direct, j, done)
	return nil
}

// isDirect reports a target that is written in place, so that no description
// can stand beside it.
func isDirect(path string) bool {
	if path == output.Stdout {
		return true
	}
	info, err := os.Stat(path)
	return err == nil && !info.Mode().IsRegular() && !info.IsDir()
}

// targets lists the files that will be written.
func (o *waveOptions) targets(path string, direct bool) []string {
	switch {
	case !direct:
		return []string{path, wavefile.SidecarName(path)}
	case o.Sidecar != "":
		return []string{path, o.Sidecar}
	}
	return []string{path}
}

// writeDirect writes to standard output, a FIFO or a device, and then the
// description where --sidecar says.
func (o *waveOptions) writeDirect(ctx context.Context, path string, j *wavefile.Job) (done wavefile.Written, err error) {
	err = output.File(ctx, path, o.Force, o.Out, func(w io.Writer) (err error) {
		done, err = j.Write(ctx, w, o.Sidecar != "")
		return err
	})
	if err != nil || o.Sidecar == "" {
		return done, err
	}
	if path == output.Stdout {
		path = "" // whoever reads it names the file
	}
	text, err := j.Describe(path, done).JSON()
	if err != nil {
		return done, err
	}
	return done, output.File(ctx, o.Sidecar, o.Force, o.Out, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}

// writeSet writes a file and its description, together or not at all.
func (o *waveOptions) writeSet(ctx context.Context, path string, j *wavefile.Job) (done wavefile.Written, err error) {
	dir, name := filepath.Split(path)
	set, err := output.NewFiles(ctx, dir, o.Force, name, wavefile.SidecarName(name))
	if err != nil {
		return done, err
	}
	defer set.Abort()
	f, err := set.Create(name)
	if err != nil {
		return done, err
	}
	done, err = j.Write(ctx, struct{ io.Writer }{f}, true)
	if ctx.Err() != nil {
		return done, named(set.Commit(), path) // which refuses, and says what is left
	}
	if err != nil {
		return done, err
	}
	if err := f.Close(); err != nil {
		return done, err
	}
	text, err := j.Describe(name, done).JSON()
	if err != nil {
		return done, err
	}
	if err := set.WriteFile(wavefile.SidecarName(name), text); err != nil {
		return done, err
	}
	return done, named(set.Commit(), path)
}

// named puts the file in the place of its folder where a set was interrupted.
func named(err error, path string) error {
	var i *output.InterruptedError
	if errors.As(err, &i) {
		i.Path = path
	}
	return err
}

// size is "0.067 s, 2 frames, 1.9 MB".
func (o *waveOptions) size(j *wavefile.Job) string {
	frames := "frames"
	if j.Frames == 1 {
		frames = "frame"
	}
	return fmt.Sprintf("%.3f s, %d %s, %.1f MB", j.Seconds(), j.Frames, frames, float64(j.Size())/1e6)
}

// summary prints what was written: on standard output, or on standard error
// where the samples went there.
func (o *waveOptions) summary(path string, direct bool, j *wavefile.Job, done wavefile.Written) {
	to := o.Out
	if path == output.Stdout {
		to, path = o.Err, "standard output"
	}
	fmt.Fprintf(to, "%s: %s\n", path, o.size(j))
	for c, n := range done.Clipped {
		if n > 0 {
			fmt.Fprintf(o.Err, "clipped: %d samples of %s have no legal code in %s and got the nearest; s16 reaches further than u16, and a lower --chroma-gain or level stays within both\n",
				n, j.Wire.Channels()[c], j.Format)
		}
	}
	if j.AtLeast > 0 && j.AtLeast < j.Frames {
		fmt.Fprintf(o.Err, "note: %d frames were asked; the signal repeats after %d, so %d were written\n", j.AtLeast, j.Loop, j.Frames)
	}
	if direct && o.Sidecar == "" {
		fmt.Fprintln(o.Err, "note: a stream has no description beside it; --sidecar FILE writes one")
	}
}
