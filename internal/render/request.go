// Package render makes one picture or stream: it is the only place where a
// pattern, the plan of levels and a file format meet. The command line, the
// kit and all that comes later call it.
package render

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A Request is one thing to make.
type Request struct {
	Pattern pattern.Pattern
	Spec    string // how the pattern is spelled, for tags in the file
	Raster  *timing.Raster
	Edges   pattern.Edges
	Aspect  timing.Ratio // of the screen, 4/3 or 16/9
	Single  bool         // horizontal lines of one row
	Plan    colorimetry.Plan
	Device  *device.Profile // that plays it, on one of its rasters and outputs; nil: none in particular
	Dither  bool            // spread the errors of a device's colors over pixels
	Clip    bool            // accept levels that the plan puts out of reach
	Format  *format.Format
	Data    string      // "", or [Framebuffer] or [Tiles]: then Format only says what colors are
	Ident   string      // a caption, see [pattern.WithIdent]; {pattern}, {raster}, {setup} are filled in; "auto": all three; "": none
	Frames  int         // of a stream; 1 for a still picture
	Tags    [][2]string // further tags for formats that have them

	// Progress, if not nil, is called after each frame of a stream.
	Progress func(done, total int)
}

// A Lost patch is not in the file as the pattern defines it.
type Lost struct {
	Patch   pattern.Patch
	Clipped bool // the plan put it out of reach; else the coding has nothing like it
	Reason  string
}

// A LostList is the lost patches of a file.
type LostList []Lost

// Clipped returns the patches that were clipped, or those that were replaced.
func (l LostList) Clipped(clipped bool) (list LostList) {
	for _, x := range l {
		if x.Clipped == clipped {
			list = append(list, x)
		}
	}
	return list
}

// Names names the patches, with commas between them.
func (l LostList) Names() string {
	var names []string
	for _, x := range l {
		names = append(names, x.Patch.Name)
	}
	return strings.Join(names, ", ")
}

// ByWay divides the list by the way out that the patches name, in their order.
func (l LostList) ByWay() (lists []LostList) {
	at := map[string]int{}
	for _, x := range l {
		i, ok := at[x.Patch.Way]
		if !ok {
			i = len(lists)
			at[x.Patch.Way] = i
			lists = append(lists, nil)
		}
		lists[i] = append(lists[i], x)
	}
	return lists
}

// A Job is a Request that has been laid out and found possible.
type Job struct {
	Request
	View  pattern.View
	Scene *pattern.Scene
	Lost  LostList // patches replaced, absent or clipped

	lattice  *timing.Raster
	sampling frame.Sampling

	mu         sync.Mutex // guards the picture of a device, which is kept
	shown      *pixfmt.Indexed
	shownFrame int
	merge      *device.Merge
}

// A RangeError reports the patches that the plan puts out of the format's
// reach. With Clip the same request works, and reports them as lost.
type RangeError struct {
	Format *format.Format
	Plan   colorimetry.Plan
	Lost   LostList // the one with the lowest luma first
}

// Error names the lowest level that cannot be reached, and the way out.
func (e *RangeError) Error() string {
	more := ""
	if n := len(e.Lost) - 1; n == 1 {
		more = " (and so for 1 more patch)"
	} else if n > 1 {
		more = fmt.Sprintf(" (and so for %d more patches)", n)
	}
	return fmt.Sprintf("%s, patch %q: %s%s\n%s, or use --clip to accept the nearest levels", e.Format.Name, e.Lost[0].Patch.Name, e.Lost[0].Reason, more, e.wayOut())
}

func (e *RangeError) wayOut() string {
	switch {
	case e.Plan.Wire != nil && e.Plan.Wire.Interface == colorimetry.Composite:
		return "ask for the setup that the player adds"
	case e.Format.Coding.Model == colorimetry.RGB:
		return "use a Y'CbCr format such as y4m, which reaches further"
	default:
		return "take a pattern of lower levels, such as 75 % bars, or a player whose levels are nearer"
	}
}

// Layout checks the request and lays its scene out. Errors name what cannot be
// and the way out; a *RangeError can be overcome with Clip.
func (q *Request) Layout() (*Job, error) {
	j := &Job{Request: *q}
	if q.Frames > 1 && !q.Format.Stream {
		name, way := q.Format.Name, fmt.Sprintf("use a stream format such as y4m for %d frames", q.Frames)
		if q.Data != "" {
			name = q.Data
		}
		if q.Device != nil && q.Device.Pixels() {
			way = fmt.Sprintf("device %s plays no video, so leave the length out", q.Device.Name)
		}
		return nil, fmt.Errorf("%s holds one picture; %s", name, way)
	}
	if err := q.Plan.Check(q.Raster.Scan.System.Lines()); err != nil {
		return nil, err
	}
	switch {
	case q.Device != nil:
		if err := q.checkDevice(); err != nil {
			return nil, err
		}
	case q.Data != "":
		if err := q.checkData(); err != nil {
			return nil, err
		}
	}
	var err error
	if j.lattice, err = q.Format.Lattice(q.Raster); err != nil {
		return nil, err
	}
	j.sampling = q.Format.Sampling(j.lattice)
	j.View = pattern.NewView(q.Raster, q.Format.Coding, j.sampling, q.Edges)
	j.View.Aspect, j.View.Plan, j.View.Single = q.Aspect.Float64(), q.Plan, q.Single
	captioned, err := q.ident()
	if err != nil {
		return nil, err
	}
	if j.Scene, err = captioned.Scene(j.View); err != nil {
		return nil, err
	}
	return j, j.reach()
}

// reach fills Lost. A patch that is a substitute already is not reported a
// second time when the plan clips the substitute.
func (j *Job) reach() error {
	var clipped LostList
	for _, p := range j.Scene.Patches {
		if p.Absent != "" {
			j.Lost = append(j.Lost, Lost{Patch: p, Reason: p.Absent})
			continue
		}
		for _, s := range []colorimetry.Signal{p.Want, p.To} {
			if _, err := j.Plan.File(s, j.Format.Coding); err != nil {
				clipped = append(clipped, Lost{p, true, err.Error()})
				break
			}
		}
	}
	slices.SortStableFunc(clipped, func(a, b Lost) int {
		return cmp.Compare(min(a.Patch.Want.Y, a.Patch.To.Y), min(b.Patch.Want.Y, b.Patch.To.Y))
	})
	if len(clipped) > 0 && !j.Clip {
		return &RangeError{j.Format, j.Plan, clipped}
	}
	j.Lost = append(append(j.Lost, clipped...), j.dropped()...)
	return nil
}

// Frame returns frame n as the file holds it: sampled, and mapped by the plan.
func (j *Job) Frame(n int) (*frame.Frame, error) {
	f, err := pattern.Sample(j.Scene, j.lattice, j.sampling, n)
	if err != nil {
		return nil, err
	}
	if !j.Plan.Plain() {
		for c := range f.Planes {
			for _, row := range f.Planes[c].Rows {
				j.Plan.MapRow(colorimetry.Component(c), row)
			}
		}
	}
	return f, nil
}

// Carried returns frame n on a lattice of the same system, in 4:4:4, as the
// wire carries it: in units of the wanted family. Without a player or a device
// that is the definition itself, on all lines of the lattice. With one it is
// what that makes of a file in the format, and lines that the file has not are
// left out.
func (j *Job) Carried(r *timing.Raster, n int) (*frame.Frame, error) {
	if j.ideal() {
		return pattern.Sample(j.Scene, r, frame.S444, n)
	}
	held := make(map[timing.Line]bool)
	for _, l := range j.Raster.Lines {
		held[l] = true
	}
	played := *r
	played.Lines = nil
	for _, l := range r.Lines {
		if held[l] {
			played.Lines = append(played.Lines, l)
		}
	}
	if j.Pixels() {
		return j.emitted(&played, n)
	}
	f, err := pattern.Sample(j.Scene, &played, frame.S444, n)
	if err != nil {
		return nil, err
	}
	return j.carried(f), nil
}

// carried sends each sample through the file and the player. Rows that stood
// for one component stand for all three afterwards, since a format can hold a
// luma or not depending on the color that goes with it.
func (j *Job) carried(f *frame.Frame) *frame.Frame {
	triples, lines := f.Distinct()
	out := &frame.Frame{Raster: f.Raster, Sampling: f.Sampling}
	for _, t := range triples {
		y, cb, cr := f.Triple(t)
		rows := [3][]float64{make([]float64, len(y)), make([]float64, len(y)), make([]float64, len(y))}
		for i := range y {
			held, _ := j.Plan.File(colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]}, j.Format.Coding) // the nearest where it is out of reach
			s := j.Plan.Emit(j.plays(held))
			rows[0][i], rows[1][i], rows[2][i] = s.Y, s.CB, s.CR
		}
		for c := range out.Planes {
			out.Planes[c].Rows = append(out.Planes[c].Rows, rows[c])
		}
	}
	for c := range out.Planes {
		out.Planes[c].Lines = lines
	}
	return out
}

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
	f, err := j.Frame(0)
	if err != nil {
		return err
	}
	if !j.Format.Stream && j.Pixels() {
		x, err := j.Indexed(0)
		if err != nil {
			return err
		}
		return j.Format.Indexed(w, x, j.Raster, j.meta())
	}
	if !j.Format.Stream {
		return j.Format.Still(w, f, j.meta())
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
			if f, err = j.Frame(n); err != nil {
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
