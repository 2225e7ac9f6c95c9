package cli

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/table"
	"backporch/pattern"
)

func (o *jobMeasureOptions) run(ctx context.Context) error {
	what, err := o.agree()
	if err != nil {
		return err
	}
	if o.JSON && o.CSV {
		return usagef("--json and --csv both say how to print; give one of them")
	}
	// The job is read before anybody is asked for readings, and once more when
	// they are written.
	w, err := o.open(o.Streams, "")
	if err != nil {
		return err
	}
	m, err := o.measurement(ctx, what, w)
	if err != nil {
		return err
	}
	var res *report.Result
	var unclear error
	o.Job = w.Name
	c, err := o.append(ctx, o.Streams, func(w *jobWork) (job.Entry, error) {
		e := job.Entry{Kind: job.KindMeasure, By: o.By, Text: o.Note, Corrects: o.Corrects, Measure: m}
		g, err := w.givenFor(m)
		if err == nil {
			res, err = report.Evaluate(m, g)
		}
		if unclear = err; err != nil && !o.Anyway {
			return e, fmt.Errorf("%w; nothing was recorded (--anyway records such readings, too)", err)
		}
		return e, nil
	})
	if err != nil {
		o.again()
		return err
	}
	o.recorded(c)
	if unclear != nil {
		fmt.Fprintf(o.Err, "not evaluated: %v\n", unclear)
		return nil
	}
	res.Entry = c.Entry
	rec := res.Record()
	if !o.JSON && !o.CSV {
		rec = res.Text()
	}
	for i, f := range rec.Fields {
		if f.Name == "Time" { // as all commands of job have it
			rec.Fields[i] = table.Field{Name: "Time", Unit: "UTC", Value: o.stamp(c.Entry.Time)}
		}
	}
	rec.Notes = append(rec.Notes, c.cautionsOf(what, m.Input)...)
	if err := o.print(o.Streams, rec); err != nil {
		return err
	}
	if res.Out() {
		return errOut{}
	}
	return nil
}

// again prints what was typed at the prompt and could not be recorded, as it can
// be given once more.
func (o *jobMeasureOptions) again() {
	if !o.asked {
		return
	}
	fmt.Fprintln(o.Err, "\nWhat was typed, to be given again:")
	for _, read := range o.Read {
		fmt.Fprintf(o.Err, "  --read %q\n", read)
	}
}

// cautionsOf are those of the steps that readings belong to, the deadliest first:
// that one in full, the others by name, with where they stand in full.
func (w *jobWork) cautionsOf(what job.What, input string) (notes []string) {
	in := map[string]string{} // the step in which a caution stands
	for i := range w.States {
		s := &w.States[i].Step
		if s.Measure != what || s.Input != "" && s.Input != input {
			continue
		}
		for _, key := range s.Cautions {
			if in[key] == "" {
				in[key] = s.Key
			}
		}
	}
	var more, where []string
	for _, k := range job.AllCautions() {
		step := in[k.Key]
		switch {
		case step == "":
		case len(notes) == 0:
			notes = append(notes, "Caution, "+k.Title+": "+k.Text)
		default:
			more = append(more, k.Title)
			if text := "`backporch job next" + w.flag() + " --step " + step + "`"; !slices.Contains(where, text) {
				where = append(where, text)
			}
		}
	}
	if len(more) > 0 {
		notes = append(notes, fmt.Sprintf("More cautions for this work: %s. They stand in full in %s.", strings.Join(more, "; "), listed(where)))
	}
	return notes
}

// givenFor is given for readings that are not recorded yet.
func (w *jobWork) givenFor(m *job.Measurement) (*report.Given, error) {
	g, err := w.given()
	if err != nil {
		return nil, err
	}
	for _, stage := range []job.Stage{m.Stage, ""} { // phosphors hardly change
		if e, ok := w.Latest(job.WhatGuns, stage, ""); ok && g.Guns == nil && m.What != job.WhatGuns {
			g.Guns = e.Measure
		}
	}
	if m.What == job.WhatGeometry {
		err = nominal(g, m.Pattern)
	}
	return g, err
}

// measurement takes the readings in.
func (o *jobMeasureOptions) measurement(ctx context.Context, what job.What, w *jobWork) (*job.Measurement, error) {
	set := w.Set()
	input, err := o.input(what, set)
	if err != nil {
		return nil, err
	}
	m := &job.Measurement{What: what, Stage: job.Stage(o.Stage), Input: input, Instrument: o.Instrument,
		Pattern: o.Pattern, Invented: o.Invented}
	if o.Knobs != "" {
		if m.Controls, err = knobs(o.Knobs); err != nil {
			return nil, err
		}
	}
	if o.Screen != "" {
		if m.Edges, err = parseScreen(o.Screen); err != nil {
			return nil, err
		}
	}
	switch {
	case what == job.WhatSource:
		m.Source, err = readCheck(o.Check, set.Raster)
		if err == nil && m.Pattern == "" {
			m.Pattern = m.Source.Pattern
		}
		return m, err
	case o.Eye != "":
		if err := takeEye(m, o.Eye); err != nil {
			return nil, usagef("--eye: %w", err)
		}
		return m, nil
	}
	k := kindOf(what)
	if k.Light {
		return m, o.light(ctx, m, k)
	}
	var cross pattern.Crossings
	if what == job.WhatGeometry {
		if cross, err = o.lattice(m, w); err != nil {
			return nil, err
		}
	}
	if err := o.typed(ctx, m, k, cross); err != nil {
		return nil, err
	}
	if o.Unit == "lines" {
		if err := w.lineWidths(m); err != nil {
			return nil, err
		}
	}
	return m, within(m, cross)
}

// light takes the readings of a light meter.
func (o *jobMeasureOptions) light(ctx context.Context, m *job.Measurement, k *readingKind) error {
	if !o.given() {
		p := &prompt{Title: k.Title + " " + o.formWords(), Rows: k.Rows, Check: func(read string) error {
			_, err := o.sample(read, k.Names)
			return err
		}}
		var err error
		if o.Read, err = p.ask(ctx, o.Streams); err != nil {
			return err
		}
		o.asked = true
	}
	list, err := o.samples(o.Streams, k.Names)
	if err != nil {
		return err
	}
	for _, x := range list {
		m.Light = append(m.Light, job.Light{Level: 100 * x.Level, Name: x.Name, X: x.XYZ.X, Y: x.XYZ.Y, Z: x.XYZ.Z, Given: x.Given})
	}
	return nil
}

// typed takes readings that are no light.
func (o *jobMeasureOptions) typed(ctx context.Context, m *job.Measurement, k *readingKind, cross pattern.Crossings) error {
	if o.From != "" {
		columns, err := o.columns()
		if err != nil {
			return err
		}
		return o.table(o.Streams, func(r io.Reader) error { return k.table(m, r, columns) })
	}
	if !o.given() {
		rows := k.Rows
		if m.What == job.WhatGeometry {
			rows = crossingRows(cross)
		}
		title := k.Title
		if o.Unit == "lines" {
			title = strings.Replace(title, "ones, mm (", "ones, in widths of\na scan line (", 1)
		}
		p := &prompt{Title: title, Rows: rows, Check: func(read string) error { return k.take(&job.Measurement{}, read) }}
		var err error
		if o.Read, err = p.ask(ctx, o.Streams); err != nil {
			return err
		}
		o.asked = true
	}
	for _, read := range o.Read {
		if err := k.take(m, read); err != nil {
			return usagef("--read: %w", err)
		}
	}
	return nil
}
