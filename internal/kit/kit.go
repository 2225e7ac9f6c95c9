// Package kit makes the main thing that the program makes: a folder that holds
// the whole catalogue for one raster, each pattern as a picture and as a
// video, with a page that says what each is for and what it must read.
//
// The same request gives the same bytes: nothing in a kit depends on the time or
// the folder, nor on whether the processor fuses multiplications and additions.
package kit

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/output"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/timing"
)

// Manifest is how a folder made here is recognized.
var Manifest = output.Manifest{Name: "kit.json", Schema: "backporch/kit/1"}

// A Request is one kit to make.
type Request struct {
	Dir     string
	Force   bool
	Raster  *timing.Raster
	Plan    colorimetry.Plan
	Edges   pattern.Edges
	Aspect  timing.Ratio
	Single  bool
	Clip    bool
	Frames  int    // of each video of a still pattern; at least 1
	Program string // name and version, for the files

	// Progress, if not nil, is called after each part is done, from several
	// goroutines.
	Progress func(done, total int)
}

// A Result says what was made.
type Result struct {
	Files   int
	Bytes   int64
	Absent  int // patches that the pictures cannot hold, and the videos can
	Clipped int // patches that the plan puts out of reach, in pictures and videos
}

// A made item has its files written.
type made struct {
	item
	readings []readings.Reading
	picture  madeFile
	video    madeFile
	notes    []string
	png      []byte // for the page

	rgb, toRGB [][3]uint16 // codes of the picture, for each of readings
}

type madeFile struct {
	Name   string
	Format *format.Format
	Frames int
	Bytes  int64
	Sum    [sha256.Size]byte
	Lost   render.LostList
}

// absent returns the patches that the picture cannot hold and the video does.
func (m *made) absent() (list render.LostList) {
	for _, l := range m.picture.Lost.Clipped(false) {
		if l.Patch.Way == "" && !slices.ContainsFunc(m.video.Lost.Clipped(true), func(v render.Lost) bool { return v.Patch.Name == l.Patch.Name }) {
			list = append(list, l)
		}
	}
	return list
}

// missing says which patches neither of the two holds, because the raster does
// not.
func (m *made) missing() string {
	var parts []string
	for _, l := range m.video.Lost.Clipped(false).ByWay() {
		if way := l[0].Patch.Way; way != "" {
			parts = append(parts, fmt.Sprintf("%s (%s; %s)", l.Names(), l[0].Reason, way))
		}
	}
	return strings.Join(parts, "; ")
}

// Make makes the kit. The folder appears when it is complete, or not at all.
func Make(ctx context.Context, q Request) (*Result, error) {
	list, err := items()
	if err != nil {
		return nil, err
	}
	set, err := output.NewFolder(ctx, q.Dir, q.Force, Manifest)
	if err != nil {
		return nil, err
	}
	defer set.Abort()
	// All is laid out, in order, before anything is written: what cannot be is
	// found first, and always the same.
	all := make([]*made, len(list))
	videos, pictures := make([]*render.Job, len(list)), make([]*render.Job, len(list))
	for i, it := range list {
		if videos[i], err = q.layout(it, video); err != nil {
			return nil, err
		}
		if pictures[i], err = q.layout(it, picture); err != nil {
			return nil, err
		}
	}
	if err := q.parallel(ctx, len(list), func(i int) (err error) {
		all[i], err = q.make(ctx, set, list[i], videos[i], pictures[i])
		return err
	}); err != nil {
		return nil, err
	}
	res := &Result{}
	for _, m := range all {
		for _, f := range []madeFile{m.picture, m.video} {
			res.Files++
			res.Bytes += f.Bytes
		}
		res.Absent += len(m.absent())
		res.Clipped += len(m.picture.Lost.Clipped(true)) + len(m.video.Lost.Clipped(true))
	}
	extra, err := q.pages(set, all)
	if err != nil {
		return nil, err
	}
	for _, f := range extra {
		res.Files++
		res.Bytes += f.Bytes
	}
	return res, set.Commit()
}

// parallel runs n parts on every processor and returns the first error.
func (q *Request) parallel(ctx context.Context, n int, part func(i int) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var next, done atomic.Int64
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				if err := part(i); err != nil {
					cancel(&partError{err})
					return
				}
				if d := done.Add(1); q.Progress != nil {
					q.Progress(int(d), n)
				}
			}
		})
	}
	wg.Wait()
	var failed *partError
	switch cause := context.Cause(ctx); {
	case cause == nil:
		return nil
	case errors.As(cause, &failed):
		return failed.err
	default:
		return &output.InterruptedError{Path: q.Dir, Left: "what stood under that name is as it was", Err: cause}
	}
}

// A partError tells a part that failed from an interrupt.
type partError struct{ err error }

func (e *partError) Error() string { return e.err.Error() }

// make writes the two files of an item.
func (q *Request) make(ctx context.Context, set *output.Set, it item, video, picture *render.Job) (*made, error) {
	m := &made{item: it, readings: readings.Of(video.Scene, video.View, q.Plan), notes: video.Scene.Notes}
	if err := m.video.render(ctx, set, it, video, nil); err != nil {
		return nil, err
	}
	if err := m.picture.render(ctx, set, it, picture, &m.png); err != nil {
		return nil, err
	}
	for _, p := range picture.Scene.Patches {
		m.rgb = append(m.rgb, colorimetry.RGB8.Codes(q.Plan.Map(p.Want)))
		m.toRGB = append(m.toRGB, colorimetry.RGB8.Codes(q.Plan.Map(p.To)))
	}
	if len(m.rgb) != len(m.readings) {
		return nil, fmt.Errorf("%s: picture and video differ in their patches", it.Spec)
	}
	return m, nil
}

// layout lays an item out for a format.
func (q *Request) layout(it item, c format.Choice) (*render.Job, error) {
	ff, err := format.Resolve(c)
	if err != nil {
		return nil, err
	}
	frames := 1
	if ff.Stream {
		frames = max(1, q.Frames)
	}
	r := render.Request{
		Pattern: it.Pattern, Spec: it.Spec, Raster: q.Raster, Edges: q.Edges, Aspect: q.Aspect, Single: q.Single,
		Plan: q.Plan, Clip: q.Clip, Format: ff, Frames: frames, Tags: [][2]string{{"Software", q.Program}},
	}
	job, err := r.Layout()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", it.Spec, err)
	}
	return job, nil
}

// The formats of a kit.
var (
	video   = format.Choice{Name: "y4m"}
	picture = format.Choice{Name: "png"}
)

// render writes the file of a job, and keeps its bytes if it is told to.
func (f *madeFile) render(ctx context.Context, set *output.Set, it item, job *render.Job, keep *[]byte) error {
	*f = madeFile{Name: it.Slug + job.Format.Extension, Format: job.Format, Frames: job.Frames, Lost: job.Lost}
	return f.write(set, func(w io.Writer) error {
		if keep != nil {
			w = io.MultiWriter(w, appender{keep})
		}
		return job.Write(ctx, w)
	})
}

// write creates the file, counts its bytes and sums them up.
func (f *madeFile) write(set *output.Set, write func(io.Writer) error) error {
	out, err := set.Create(f.Name)
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
