// Package render makes one picture or stream: it is the only place where a
// pattern, the plan of levels and a file format meet. The command line, the
// kit and all that comes later call it.
package render

import (
	"fmt"
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
	First   int         // frame that the file begins with; of a still picture the one that it shows
	Frames  int         // of a stream; 1 for a still picture
	Tags    [][2]string // further tags for formats that have them

	// Progress, if not nil, is called after each frame of a stream.
	Progress func(done, total int)
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
			way = fmt.Sprintf("device %s plays no video, so leave the length out (--frame chooses the picture of what moves)", q.Device.Name)
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
	coding := q.Format.Coding
	if q.Device != nil && q.Device.Pixels() {
		coding = coding.Named("full-range RGB") // how many bits it has is the device's affair
	}
	j.View = pattern.NewView(q.Raster, coding, j.sampling, q.Edges)
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
