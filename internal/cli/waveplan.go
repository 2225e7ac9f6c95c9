package cli

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"backporch/internal/composite"
	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/internal/typo"
	"backporch/internal/wavefile"
	"backporch/pattern"
	"backporch/timing"
)

// request turns the flags into a request; what is wrong with them is a usage
// error. say are notes for the user.
func (o *waveOptions) request() (q *wavefile.Request, job *render.Job, say []string, err error) {
	format, err := o.format()
	if err != nil {
		return nil, nil, nil, err
	}
	spec := strings.Join(o.Words, " ")
	pt, err := pattern.Parse(spec)
	if err != nil {
		return nil, nil, nil, &usageError{err: err}
	}
	if w := composite.Lookup(o.Wire); w != nil {
		// Named as the user did, before the levels that it stands for are looked at.
		if _, r, err := o.lattice(); err == nil {
			if err := w.Check(r.Scan); err != nil {
				return nil, nil, nil, &usageError{err: err}
			}
		}
	}
	job, w, err := o.layoutOnWire(pt, spec)
	if err != nil {
		return nil, nil, nil, err
	}
	if err := w.Check(job.Raster.Scan); err != nil {
		return nil, nil, nil, &usageError{err: err}
	}
	if l := job.Lost.Clipped(true); len(l) > 0 && job.Plan.Player != nil && !o.Clip {
		err := &render.RangeError{Format: job.Format, Plan: job.Plan, Lost: l}
		return nil, nil, nil, usagef("no file makes a %s player do this: %w", job.Plan.Player.Name, err)
	}
	options, err := o.options(w)
	if err != nil {
		return nil, nil, nil, err
	}
	scan, note, err := o.scan(w, job.Raster)
	if err != nil {
		return nil, nil, nil, err
	}
	q = &wavefile.Request{
		Format: format, Wire: w, Scan: scan, Options: options, Period: job.Scene.Period, Picture: job.Carried,
		Program: "backporch " + version(), Pattern: spec, Raster: job.Raster.Name, Aspect: job.Aspect.String(), Setup: render.SetupName(job.Plan),
	}
	if job.Plan.Player != nil {
		q.Player = job.Plan.Player.Name
	}
	say = append(signalNotes(job), job.Scene.Notes...)
	if note != "" {
		say = append(say, note)
	}
	if e := job.Plan.SyncError(); e != 0 {
		say = append(say, fmt.Sprintf("sync is that of %s; the player's own differs by %+.1f mV", w.Name, float64(e)))
	}
	q.Notes = append(q.Notes, say...)
	q.AtLeast, err = o.length(scan)
	return q, job, say, err
}

// format finds the format: --format, else the extension, else WAV for the file
// that is named after the pattern. It refuses flags of other formats.
func (o *waveOptions) format() (format string, err error) {
	known := strings.Join(wavefile.Formats(), ", ")
	switch {
	case o.Format != "":
		for _, f := range wavefile.Formats() {
			if strings.EqualFold(f, o.Format) {
				format = f
			}
		}
		if format == "" {
			return "", usagef("--format: unknown format %q%s; use %s", o.Format, typo.Suggest(o.Format, wavefile.Formats()), known)
		}
	case o.Output == "" && o.lineWise:
		format = wavefile.CSV
	case o.Output == "":
		format = wavefile.WAV
	case o.Output == output.Stdout:
		return "", usagef("-o - needs --format; use one of %s", known)
	default:
		var ok bool
		if format, ok = wavefile.FormatOf(o.Output); !ok {
			return "", usagef("%s: the extension is of no format of samples; name the format with --format: %s", o.Output, known)
		}
	}
	switch {
	case format == wavefile.CSV && (o.counted || o.Seconds != ""):
		return "", usagef("a csv holds lines of one frame; leave --frames and --seconds out and choose them with --lines, or use wav, s16 or u16")
	case format == wavefile.CSV && o.Sidecar != "":
		return "", usagef("a csv says all in its own first lines; leave --sidecar out")
	case format != wavefile.CSV && o.lineWise:
		return "", usagef("--lines and --field choose lines of a csv, and %s holds whole frames; use --format csv", format)
	}
	return format, nil
}

// scan returns the scan of the signal, which the wire may change.
func (o *waveOptions) scan(w *composite.Wire, r *timing.Raster) (s *timing.Scan, note string, err error) {
	with := r.Scan.Offset25Hz()
	switch {
	case o.Offset && !w.Subcarrier():
		return nil, "", usagef("--offset-25hz belongs to a signal with a subcarrier, and %s has none; leave it out", w.Name)
	case o.Offset && with == nil:
		return nil, "", usagef("--offset-25hz belongs to the 288-line rasters; %s has the subcarrier of its standard; leave it out", r.Name)
	case o.Offset:
		return with, "", nil
	}
	if s = w.Timebase(r.Scan).Scan; s != r.Scan {
		note = "without a subcarrier the line is 64 us exactly, so that it is a whole number of samples"
	}
	return s, note, nil
}

// length is the frames asked for, 0 for none in particular.
func (o *waveOptions) length(s *timing.Scan) (int, error) {
	if o.counted {
		if o.Frames < 1 || o.Frames > maxFrames {
			return 0, usagef("--frames: %d is not within 1 to %d", o.Frames, maxFrames)
		}
		return o.Frames, nil
	}
	if o.Seconds == "" {
		return 0, nil
	}
	t, ok := new(big.Rat).SetString(o.Seconds)
	if !ok || t.Sign() <= 0 || t.Cmp(big.NewRat(86400, 1)) > 0 {
		return 0, usagef("--seconds: %q is not a duration of more than 0 and at most 86400 seconds", o.Seconds)
	}
	rate := s.FrameRate()
	t.Mul(t, big.NewRat(rate.Num, rate.Den))
	n := new(big.Int).Add(t.Num(), new(big.Int).Sub(t.Denom(), big.NewInt(1)))
	return int(n.Quo(n, t.Denom()).Int64()), nil
}

// lines reads --lines and --field.
func (o *waveOptions) lines(q *wavefile.Request, r *timing.Raster) (l wavefile.Lines, err error) {
	l.Field = o.Field
	if o.Field < 0 {
		return l, usagef("--field: fields count from 1; %d is none", o.Field)
	}
	if o.Lines == "" {
		field := 1
		if o.Field > 0 && r.Scan.Interlaced() && o.Field%2 == 0 {
			field = 2
		}
		first, last := r.FieldLines(field)
		l.First = (first + last) / 2
		l.Last = l.First
	} else if l.First, l.Last, err = parseLines(o.Lines); err != nil {
		return l, err
	}
	if err := l.Check(q.Wire, q.Scan); err != nil {
		return l, &usageError{err: err}
	}
	return l, nil
}

// parseLines reads "20" or "20-30".
func parseLines(text string) (first, last int, err error) {
	a, b, two := strings.Cut(text, "-")
	first, err = strconv.Atoi(a)
	last = first
	if two && err == nil {
		last, err = strconv.Atoi(b)
	}
	if err != nil {
		return 0, 0, usagef("--lines: %q is neither a line such as 20 nor a range such as 20-30", text)
	}
	return first, last, nil
}
