package cli

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/internal/trace"
	"backporch/pattern"
	"backporch/timing"
)

// A scopeCheck is a check of what an oscilloscope recorded at the connector: it
// needs no capture device. The flags are its fields.
type scopeCheck struct {
	*Streams
	*pictureFlags
	*tableFlags

	File  string   // that the scope exported
	Words []string // of the pattern's one-line spelling

	Line        int
	Signal      string // of the wire
	Termination string
	Probe       string

	Channel, Sync, Time string // columns of the file
	Unit, Interval      string
}

// add defines the flags that are its own, besides those of the picture and of
// tables.
func (o *scopeCheck) add(cmd *cobra.Command, f *pflag.FlagSet) {
	f.StringVar(&o.File, "scope", "", "measure what an oscilloscope has exported, FILE.csv: volts of one line or more at the connector")
	f.IntVar(&o.Line, "line", 0, "with --scope: line of the frame that the record begins with, from 1 (found from the picture or the field sync)")
	f.StringVar(&o.Signal, "signal", "", "with --scope: which of the wire's signals it is: Y, C, PB, PR, R, G, B (the one with sync)")
	f.StringVar(&o.Termination, "termination", "75", "with --scope: how the cable ends: 75 ohm, none, or double (twice 75 ohm)")
	f.StringVar(&o.Probe, "probe", "", "with --scope: what the probe divides by, if the scope was not told: 10 (1)")
	f.StringVar(&o.Channel, "channel", "", "with --scope: column of the signal, by heading or number (the only one)")
	f.StringVar(&o.Sync, "sync-channel", "", "with --scope: column that carries sync, for a signal without: C, PB, PR, R, B")
	f.StringVar(&o.Time, "time-column", "", "with --scope: column of time, by heading or number (found by its heading)")
	f.StringVar(&o.Unit, "scope-unit", "", "with --scope: unit of the signal, V or mV (as the heading says, else V)")
	f.StringVar(&o.Interval, "sample-interval", "", "with --scope: seconds from sample to sample, such as 4e-9 (as the file says)")
	complete(cmd, "signal", []string{"Y", "C", "PB", "PR", "R", "G", "B"})
	complete(cmd, "termination", trace.TerminationNames())
	complete(cmd, "scope-unit", []string{"V", "mV"})
}

// run measures, prints, and returns errOut where the source is out of tolerance
// or cannot be judged.
func (o *scopeCheck) run() error {
	r, pic, err := o.measure()
	if err != nil {
		return err
	}
	d := scopeReport{r, pic, o.File, strings.Join(o.Words, " ")}
	doc := d.document(o.tableFlags)
	if err := o.print(o.Streams, doc); err != nil {
		return err
	}
	if !r.Fit() {
		return errOut{}
	}
	return nil
}

// measure reads the file and measures it.
func (o *scopeCheck) measure() (*trace.Report, *timing.Raster, error) {
	options, on, err := o.conditions()
	if err != nil {
		return nil, nil, err
	}
	targets, err := o.targets()
	if err != nil {
		return nil, nil, err
	}
	f, err := openFile(o.File)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	t, err := trace.Read(f, options)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", o.File, err)
	}
	r, err := trace.Measure(t, on, targets...)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", o.File, err)
	}
	return r, targets[0].View.Shown, nil
}

// conditions reads the flags that are its own.
func (o *scopeCheck) conditions() (r trace.Options, on trace.Conditions, err error) {
	r = trace.Options{Channel: o.Channel, Sync: o.Sync, Time: o.Time, Unit: o.Unit}
	if r.Probe, err = positive("probe", o.Probe, "10", 1e-3, 1e3); err != nil {
		return r, on, err
	}
	if r.Interval, err = positive("sample-interval", o.Interval, "4e-9", 1e-12, 1e-6); err != nil {
		return r, on, err
	}
	if u := strings.ToLower(o.Unit); u != "" && u != "v" && u != "mv" {
		return r, on, usagef("--scope-unit: %q is neither V nor mV", o.Unit)
	}
	if on.Line = o.Line; o.Line < 0 {
		return r, on, usagef("--line: lines count from 1; %d is none", o.Line)
	}
	if o.Termination != "" {
		if on.Termination, err = trace.ParseTermination(o.Termination); err != nil {
			return r, on, usagef("--termination: %w", err)
		}
	}
	return r, on, nil
}

// positive reads a number within limits; "" is 0.
func positive(flag, text, example string, low, high float64) (float64, error) {
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= low && v <= high) {
		return 0, usagef("--%s: %q is not a number from %g to %g, such as %s", flag, text, low, high, example)
	}
	return v, nil
}

// targets are what the signal should be: the pattern on the wire of the flags,
// or on 525 lines with nothing said of the wire, with setup and without.
func (o *scopeCheck) targets() (list []trace.Target, err error) {
	if len(o.Words) == 0 {
		return nil, usagef("--scope needs the name of the pattern that plays, such as bars-full")
	}
	spec := strings.Join(o.Words, " ")
	pt, err := pattern.Parse(spec)
	if err != nil {
		return nil, &usageError{err: err}
	}
	pic, wire, err := o.onWire(pt)
	if err != nil {
		return nil, err
	}
	flags := []*pictureFlags{o.pictureFlags}
	if wire == nil && pic.Raster.Scan.System == timing.System525 {
		with, without := *o.pictureFlags, *o.pictureFlags
		with.Wire, without.Wire = "composite-m", "composite-j"
		flags = []*pictureFlags{&with, &without}
	}
	for _, p := range flags {
		t, err := target(p, pt, spec, o.Signal)
		if err != nil {
			return nil, err
		}
		list = append(list, t)
	}
	return list, nil
}

// target lays a pattern out on the wire of the flags.
func target(p *pictureFlags, pt pattern.Pattern, spec, signal string) (t trace.Target, err error) {
	job, wire, err := p.layoutOnWire(pt, spec)
	if err != nil {
		return t, err
	}
	if signal != "" && !hasSignal(wire, signal) {
		return t, usagef("--signal: %s has no %q; it has %s (name another cable with --wire)", wire.Name, signal, strings.Join(wire.Channels(), ", "))
	}
	spots, err := spotsOf(readings.Of(job.Scene, job.View, job.Plan), job)
	if err != nil {
		return t, &usageError{err: err}
	}
	t = trace.Target{Wire: wire, Signal: signal, Plan: job.Plan, View: job.View}
	for _, s := range spots {
		if s.end == "" {
			s.Reading.Held = s.held
			t.Readings = append(t.Readings, s.Reading)
		}
	}
	t.Picture, err = job.Carried(trace.Lattice(job.Raster), 0)
	return t, err
}

func hasSignal(w *composite.Wire, name string) bool {
	for _, c := range w.Channels() {
		if strings.EqualFold(c, name) {
			return true
		}
	}
	return false
}

// ire is a level in IRE.
func ire(mv float64) float64 { return float64(colorimetry.Millivolt(mv).IRE()) }
