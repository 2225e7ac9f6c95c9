package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/check"
	"backporch/internal/format"
	"backporch/internal/ingest"
	"backporch/internal/measure"
	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/pattern"
)

func (o *checkOptions) run(ctx context.Context) error {
	if o.scope.File != "" {
		if o.Pattern == "" {
			return usagef("%s does not say what it shows; name the pattern that plays with --pattern, such as --pattern bars-full", o.scope.File)
		}
		o.scope.Words = strings.Fields(o.Pattern)
		return o.scope.run()
	}
	r := &check.Report{File: o.File, Program: "backporch " + version()}
	var err error
	if r.Class, err = check.ParseClass(o.Class); err != nil {
		return usagef("--class: %w", err)
	}
	before, err := o.before()
	if err != nil {
		return err
	}
	if err := o.agree(); err != nil {
		return err
	}
	if r.Via, err = o.via(); err != nil {
		return err
	}
	q := &measure.Request{}
	if q.Region, err = parseRegion(o.Region); err != nil {
		return err
	}
	c, err := o.open(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	job, err := o.layout(c, r.Via.None)
	if err != nil {
		return err
	}
	frames, err := o.frames(ctx, c, job.Scene.Period > 1)
	if err != nil {
		return err
	}
	q.Picture, q.Name, q.Scene, q.View, q.Raster = check.Picture(frames[0]), strings.Fields(job.Spec)[0], job.Scene, job.View, job.Raster
	if q.Expect, err = expectation(job, r.Via.None); err != nil {
		return err
	}
	r.Spec, r.Kind, r.Order, r.Request = job.Spec, c.Kind, c.Order, q
	r.Notes = append(r.Notes, c.Notes...)
	if cal := r.Via.Calibration; cal != nil {
		q.Correct = cal.Correct
		r.Via.Doubts = cal.Doubts(q, o.now())
	}
	if r.Result, err = measure.Measure(q); err != nil {
		return fmt.Errorf("%s: %w", o.File, err)
	}
	if o.Learn != "" {
		return o.learn(ctx, r)
	}
	o.motion(r, frames, job)
	r.Judge()
	if before != nil {
		if r.Change, err = r.Compare(before); err != nil {
			return fmt.Errorf("%s %w", o.Compare, err)
		}
	}
	return o.tell(ctx, r)
}

// agree refuses flags that contradict each other, and targets that cannot be
// written, before anything is read.
func (o *checkOptions) agree() error {
	switch {
	case o.JSON && o.CSV:
		return usagef("--json and --csv both say how to print; give one of them")
	case o.Learn == "" && o.Source != "":
		return usagef("--source says of what a calibration is learned; name its file with --learn, or leave --source out")
	case o.Learn == "" && o.Name != "":
		return usagef("--name names a capture device that is learned; name the file with --learn, or leave --name out")
	case o.Learn != "" && o.Source == "":
		return usagef("--learn needs to know the levels of the source: --source exact if an oscilloscope has shown them to be right, or --source SCOPE.json, which `backporch check --scope` measured")
	case o.Learn != "" && o.Via != "":
		return usagef("--learn measures the capture device itself; leave --via out")
	case o.Learn != "" && (o.HTML != "" || o.Compare != ""):
		return usagef("--learn writes a calibration, and no report; leave --html and --compare out")
	case o.Frames < 0:
		return usagef("--frames: %d is less than 0, which stands for all", o.Frames)
	}
	for _, path := range []string{o.HTML, o.Learn} {
		if path == "" {
			continue
		}
		if path == output.Stdout {
			return usagef("the report is on standard output; name a file")
		}
		if err := output.Check(path, o.Force); err != nil {
			return err
		}
	}
	return nil
}

// before reads the earlier check of --compare.
func (o *checkOptions) before() (*check.Before, error) {
	if o.Compare == "" {
		return nil, nil
	}
	data, err := readSmall(o.Compare)
	if err != nil {
		return nil, err
	}
	b, err := check.ParseBefore(data)
	if err != nil {
		return nil, fmt.Errorf("%s %w", o.Compare, err)
	}
	return b, nil
}

// via reads --via.
func (o *checkOptions) via() (v check.Via, err error) {
	switch o.Via {
	case "":
		return v, nil
	case "none":
		return check.Via{None: true}, nil
	}
	data, err := readSmall(o.Via)
	if err != nil {
		return v, err
	}
	c, err := measure.ParseCalibration(data)
	if err != nil {
		return v, fmt.Errorf("%s %w", o.Via, err)
	}
	name := o.Via
	if c.Name != "" {
		name = c.Name + " (" + o.Via + ")"
	}
	return check.Via{Calibration: c, Name: name}, nil
}

// parseRegion reads --region.
func parseRegion(text string) (r [4]float64, err error) {
	if text == "" {
		return r, nil
	}
	words := strings.Split(text, ",")
	if len(words) != 4 {
		return r, usagef("--region: %q is not four numbers; write the edges as X0,Y0,X1,Y1, such as 2.2,-0.5,715.8,479.5", text)
	}
	for i, w := range words {
		if r[i], err = strconv.ParseFloat(strings.TrimSpace(w), 64); err != nil || !(r[i] > -1e5 && r[i] < 1e5) {
			return r, usagef("--region: %q is not a number of samples or rows", w)
		}
	}
	if r[2]-r[0] < 16 || r[3]-r[1] < 16 {
		return r, usagef("--region: %s is %g x %g, and a picture has at least 16 samples and rows; the edges are X0,Y0,X1,Y1 with X0 < X1 and Y0 < Y1", text, r[2]-r[0], r[3]-r[1])
	}
	return r, nil
}

// layout lays out the pattern that was played: that of --pattern, or what the
// file says of itself.
func (o *checkOptions) layout(c *capture, file bool) (*render.Job, error) {
	spec := o.Pattern
	if spec == "" {
		spec = c.pattern
	}
	if spec == "" {
		return nil, usagef("%s does not say what it shows; name the pattern that was played with --pattern, such as --pattern bars-eg1 (`backporch list patterns` names them all)", o.File)
	}
	pt, err := pattern.Parse(spec)
	if err != nil {
		return nil, usagef("--pattern: %w", err)
	}
	if !o.rastered && o.Device == "" {
		var certain bool
		if o.Raster, certain = c.guess(); !certain {
			c.Notes = append(c.Notes, fmt.Sprintf("Taken for a capture of %s, since nothing of %d x %d samples says otherwise; name what the player was given with --raster.", o.Raster, c.Width, c.Height))
		}
	}
	v, w, err := o.onWire(pt)
	if err == nil && file { // levels are those that a file has, and not those of the wire
		v, err = o.resolve(pt)
	}
	if err != nil {
		return nil, err
	}
	picture := o.Played == "picture"
	switch o.Played {
	case "picture", "video":
	case "":
		picture = file && c.isRGB()
	default:
		return nil, usagef("--played: %q is neither video nor picture", o.Played)
	}
	if !picture {
		return v.layout(pt, spec, w)
	}
	f, err := format.Resolve(format.Choice{Name: "png"})
	if err != nil {
		return nil, err
	}
	if v.Device != nil && v.Device.Pixels() {
		return v.layout(pt, spec, w)
	}
	q := v.request(pt, spec, f)
	q.Device, q.Clip = nil, true
	job, err := q.Layout()
	if err != nil {
		return nil, &usageError{err: err}
	}
	return job, nil
}

// expectation is what the capture must hold where a level is wanted: what the
// wire carries, or for a decoded file what the file holds. Nil: the level itself.
func expectation(job *render.Job, file bool) (func(colorimetry.Signal) colorimetry.Signal, error) {
	if !file {
		if job.Plan.Player == nil && job.Device == nil {
			return nil, nil
		}
		if _, err := job.Held(colorimetry.Gray(0)); err != nil { // what it needs is kept from then on
			return nil, err
		}
		return func(s colorimetry.Signal) colorimetry.Signal {
			held, err := job.Held(s)
			if err != nil {
				return s
			}
			return held
		}, nil
	}
	if job.Pixels() {
		if _, err := job.RGB8(colorimetry.Gray(0)); err != nil {
			return nil, err
		}
		return func(s colorimetry.Signal) colorimetry.Signal {
			c, err := job.RGB8(s)
			if err != nil {
				return s
			}
			return colorimetry.RGB8.Signal(c)
		}, nil
	}
	if job.Plan.Plain() {
		return nil, nil
	}
	return func(s colorimetry.Signal) colorimetry.Signal {
		f, _ := job.Plan.File(s, job.Format.Coding) // the nearest where it is out of reach
		return f
	}, nil
}

// mostMoving is how many frames of a moving pattern are held at once.
const mostMoving = 24

// frames reads the capture: one mean of a still pattern, single frames of a
// moving one.
func (o *checkOptions) frames(ctx context.Context, c *capture, moves bool) (list []*ingest.Mean, err error) {
	bar := newProgress(o.Streams, "frames")
	defer bar.done()
	if moves {
		n := mostMoving
		if o.Frames > 0 {
			n = min(n, o.Frames)
		}
		list, err = c.Take(ctx, n)
	} else {
		var m *ingest.Mean
		if m, err = c.Mean(ctx, o.Frames, func(done int) { bar.set(done, -1) }); err == nil {
			list = []*ingest.Mean{m}
		}
	}
	switch {
	case ctx.Err() != nil:
		return nil, fmt.Errorf("interrupted while %s was read; nothing was written", o.File)
	case errors.Is(err, io.EOF):
		return nil, fmt.Errorf("%s has no picture in it", o.File)
	case err != nil:
		return nil, fmt.Errorf("%s: %w", o.File, err)
	}
	return list, nil
}

// tell writes the page and prints the report.
func (o *checkOptions) tell(ctx context.Context, r *check.Report) error {
	if o.HTML != "" {
		err := output.File(ctx, o.HTML, o.Force, o.Out, func(w io.Writer) error {
			b := bufio.NewWriter(w)
			if err := r.Page(b, caution); err != nil {
				return err
			}
			return b.Flush()
		})
		if err != nil {
			return err
		}
		fmt.Fprintf(o.Err, "%s: the report as a page\n", o.HTML)
	}
	var err error
	switch {
	case o.CSV:
		err = o.print(o.Streams, r.PatchTable())
	case o.JSON:
		err = o.print(o.Streams, r.Data())
	default:
		err = o.print(o.Streams, r.Record())
	}
	if err == nil && !r.Verdict.Outcome.Good() {
		err = errOut{}
	}
	return err
}
