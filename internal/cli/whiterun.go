package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/meter"
	"backporch/internal/output"
	"backporch/internal/white"
)

// A whiteWork is what a command line asks for, before it is computed.
type whiteWork struct {
	Options white.Options
	Tube    string // what the light of the guns rests on
	Knobs   []white.Control
	Rounds  []white.Round   // with knobs
	Steps   []white.Reading // without
	Notes   []string
}

func (o *whiteOptions) run(ctx context.Context) error {
	if o.Template {
		knobs, err := parseKnobs(o.Knobs)
		if err != nil {
			return usagef("--knobs: %w", err)
		}
		_, err = io.WriteString(o.Out, roundsTemplate(knobs))
		return err
	}
	w := &whiteWork{}
	var err error
	if o.set["job"] {
		err = o.fromJob(w)
	} else {
		err = o.fromFlags(ctx, w)
	}
	if err != nil {
		return err
	}
	if w.Rounds == nil {
		s, err := white.Solve(w.Options, w.Steps)
		if err != nil {
			return err
		}
		rec, err := w.moves(s)
		if err != nil {
			return err
		}
		return o.print(o.Streams, rec)
	}
	a, err := white.Advise(w.Options, w.Knobs, w.Rounds)
	if err != nil {
		return err
	}
	return o.print(o.Streams, w.advice(a, !o.JSON && !o.CSV))
}

// options are what flags say of tube and target. target and primaries are those
// to take where there is no flag.
func (o *whiteOptions) options(target, primaries string) (opt white.Options, tube string, err error) {
	if o.set["target"] || target == "" {
		target = o.Target
	}
	if o.set["primaries"] || primaries == "" {
		primaries = o.Primaries
	}
	opt.Gamma, opt.Within, opt.WithinDark = o.Gamma, o.Within, o.Dark
	if opt.Within > 0 && opt.WithinDark == 0 {
		opt.WithinDark = 2.4 * opt.Within
	}
	if opt.Target, err = colorimetry.ParseWhite(target); err != nil {
		return opt, "", usagef("--target: %w", err)
	}
	if opt.Primaries, err = colorimetry.ParsePrimaries(primaries); err != nil {
		return opt, "", usagef("--primaries: %w", err)
	}
	i := slices.Index(gunNames(), strings.ToLower(o.Keep))
	if i < 0 {
		return opt, "", usagef("--keep: %q is no gun; use %s", o.Keep, strings.Join(gunNames(), ", "))
	}
	opt.Keep = white.Gun(i)
	if o.Black != "" {
		form, err := o.form()
		if err != nil {
			return opt, "", err
		}
		if opt.Black, err = meter.ParseTriple(form, o.Black); err != nil {
			return opt, "", usagef("--black: %w", err)
		}
	}
	tube = "primaries " + opt.Primaries.Name
	if o.GunsFile != "" {
		fields, err := o.fields()
		if err != nil {
			return opt, "", err
		}
		opt.Measured, tube = fields, "fields read of this set, "+o.GunsFile
	}
	return opt, tube, nil
}

// fields reads the fields of the guns.
func (o *whiteOptions) fields() (*[3]colorimetry.XYZ, error) {
	var samples []meter.Sample
	l := lightFlags{From: o.GunsFile, Form: o.Form}
	err := l.table(o.Streams, func(r io.Reader) (err error) {
		samples, err = meter.ReadTable(r, nil)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("--guns: %w", err)
	}
	fields, err := gunFields(samples)
	if err != nil {
		return nil, fmt.Errorf("--guns: %s: %w; the names stand in a column \"name\"", o.GunsFile, err)
	}
	return fields, nil
}

// gunFields is the light of the guns' fields, less black where it was read.
func gunFields(samples []meter.Sample) (*[3]colorimetry.XYZ, error) {
	f, err := meter.Guns(samples)
	if err != nil {
		return nil, err
	}
	light := f.Light()
	return &light, nil
}

// fromFlags takes readings from the command line, a table, lines or a prompt.
func (o *whiteOptions) fromFlags(ctx context.Context, w *whiteWork) (err error) {
	if w.Options, w.Tube, err = o.options("", ""); err != nil {
		return err
	}
	file, text, err := o.roundsFile()
	if err != nil {
		return err
	}
	if o.Knobs != "" {
		named, err := parseKnobs(o.Knobs)
		if err != nil {
			return usagef("--knobs: %w", err)
		}
		if w.Knobs = named; file.Head != nil {
			if w.Knobs, err = sameKnobs(file.Knobs, named); err != nil {
				return usagef("--knobs: %w", err)
			}
		}
	} else {
		w.Knobs = file.Knobs
	}
	w.Rounds = file.Rounds
	if o.Rounds != "" && o.At == "" {
		if len(w.Rounds) == 0 {
			return fmt.Errorf("%s has no round yet; write the readings into it, or give them with --at and --read", o.Rounds)
		}
		return nil
	}
	var settings []float64
	if o.At != "" {
		if len(w.Knobs) == 0 {
			return usagef("the knobs are not known yet: name them with --knobs \"red-drive=0..255/1,blue-drive=0..255/1\"; %s is not there", o.Rounds)
		}
		if settings, err = parseAt(o.At, w.Knobs); err != nil {
			return usagef("--at: %w", err)
		}
	} else if len(w.Knobs) > 0 {
		return usagef("where do the knobs stand in these readings? Say it with --at \"red-drive=128,blue-drive=120\"")
	}
	samples, err := o.read(ctx)
	if err != nil {
		return err
	}
	steps, err := graySteps(samples)
	if err != nil {
		return err
	}
	if w.Steps = steps; len(w.Knobs) == 0 {
		return nil
	}
	w.Rounds = append(w.Rounds, white.Round{Settings: settings, Steps: steps})
	if !o.Add {
		return nil
	}
	// What cannot be computed is not written down either.
	if _, err := white.Advise(w.Options, w.Knobs, w.Rounds); err != nil {
		return fmt.Errorf("%w; nothing was added to %s", err, o.Rounds)
	}
	return o.addRound(ctx, file, text, w.Knobs, settings, samples)
}

// roundsFile reads the file of --rounds; one that --add is to make is empty.
func (o *whiteOptions) roundsFile() (f *roundsFile, text string, err error) {
	f = &roundsFile{}
	if o.Rounds == "" {
		return f, "", nil
	}
	if o.Add {
		if _, err := os.Stat(o.Rounds); errors.Is(err, fs.ErrNotExist) {
			return f, "", nil
		}
	}
	l := lightFlags{From: o.Rounds}
	err = l.table(o.Streams, func(r io.Reader) error {
		const most = 1 << 20 // some 10 000 readings
		data, err := io.ReadAll(io.LimitReader(r, most+1))
		if err != nil {
			return err
		}
		if len(data) > most {
			return fmt.Errorf("more than %d bytes are no rounds of one set", most)
		}
		text = string(data)
		f, err = readRounds(text)
		return err
	})
	return f, text, err
}

// addRound writes the file of rounds anew, with one more.
func (o *whiteOptions) addRound(ctx context.Context, f *roundsFile, text string, knobs []white.Control, settings []float64, samples []meter.Sample) error {
	whole, err := f.withRound(text, knobs, settings, samples)
	if err != nil {
		return fmt.Errorf("%s: %w", o.Rounds, err)
	}
	err = output.File(ctx, o.Rounds, text != "", o.Out, func(w io.Writer) error {
		_, err := io.WriteString(w, whole)
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(o.Err, "round %d is in %s\n", f.Last+1, o.Rounds)
	return nil
}

// read takes gray steps in.
func (o *whiteOptions) read(ctx context.Context) ([]meter.Sample, error) {
	l := o.lightFlags
	switch {
	case o.Stdin:
		if o.In == nil || o.InTerminal {
			return nil, usagef("-: standard input is a terminal; pipe lines such as 20:0.300 0.310 2.1 in, or leave - out and be asked row by row")
		}
		text, err := io.ReadAll(io.LimitReader(o.In, 1<<20))
		if err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		for line := range strings.Lines(string(text)) {
			if line = strings.TrimSpace(line); line != "" && line[0] != '#' {
				l.Read = append(l.Read, line)
			}
		}
		if len(l.Read) == 0 {
			return nil, errors.New("standard input has no readings; write lines such as 20:0.300 0.310 2.1")
		}
	case !o.given():
		p := &prompt{Title: "Gray steps, by their level in per cent. " + o.formWords(), Rows: []string{"20", "80"}, Check: func(read string) error {
			_, err := o.sample(read, nil)
			return err
		}}
		read, err := p.ask(ctx, o.Streams)
		if err != nil {
			return nil, err
		}
		l.Read = read
	}
	return l.samples(o.Streams, nil)
}

// lightOf are recorded readings as they come from a meter.
func lightOf(list []job.Light) (samples []meter.Sample) {
	for _, l := range list {
		samples = append(samples, meter.Sample{Level: l.Level / 100, Name: l.Name, XYZ: colorimetry.XYZ{X: l.X, Y: l.Y, Z: l.Z}, Given: l.Given})
	}
	return samples
}
