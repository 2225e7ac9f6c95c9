package cli

import (
	"fmt"
	"slices"
	"strings"

	"backporch/internal/job"
	"backporch/internal/white"
)

// fromJob takes set and readings from a job.
func (o *whiteOptions) fromJob(w *whiteWork) error {
	j, err := o.open(o.Streams, "")
	if err != nil {
		return err
	}
	set := j.Set()
	if w.Options, w.Tube, err = o.options(set.White, set.Primaries); err != nil {
		return err
	}
	if set.Class != job.Grade1 && w.Options.Within == 0 { // EBU Tech 3320 v3 clause 5.7: .003 in u', v'
		w.Options.Within = 0.003
		if w.Options.WithinDark == 0 {
			w.Options.WithinDark = 2.4 * 0.003
		}
	}
	if e, ok := j.Latest(job.WhatGuns, "", ""); ok && !o.set["primaries"] && !o.set["guns"] {
		if fields, err := gunFields(lightOf(e.Measure.Light)); err == nil {
			w.Options.Measured, w.Tube = fields, fmt.Sprintf("fields read of this set, entry %d", e.ID)
		}
	}
	latest, ok := j.Latest(job.WhatGray, "", "")
	if !ok {
		return fmt.Errorf("job %s has no readings of gray steps; record them with `backporch job measure gray --job %s --knobs ...`", j.Name, j.Name)
	}
	if err := o.jobKnobs(w, latest); err != nil {
		return err
	}
	if len(w.Knobs) == 0 {
		w.Steps, err = graySteps(lightOf(latest.Measure.Light))
		if err != nil {
			return fmt.Errorf("entry %d: %w", latest.ID, err)
		}
		w.Notes = append(w.Notes, fmt.Sprintf("From the gray steps of entry %d. To learn the knobs of this set, record where they stand: `backporch job measure gray --knobs red-drive=128,blue-drive=120`.", latest.ID))
		return nil
	}
	return jobRounds(w, j.Counting())
}

// jobKnobs are those of --knobs, else those that the latest readings tell of.
func (o *whiteOptions) jobKnobs(w *whiteWork, latest *job.Entry) (err error) {
	if o.Knobs != "" {
		if w.Knobs, err = parseKnobs(o.Knobs); err != nil {
			return usagef("--knobs: %w", err)
		}
		return nil
	}
	var other []string
	for _, c := range latest.Measure.Controls {
		if k, err := parseKnob(c.Name); err == nil {
			w.Knobs = append(w.Knobs, k)
		} else {
			other = append(other, c.Name)
		}
	}
	if len(other) > 0 {
		w.Notes = append(w.Notes, "Left out, since the name does not say gun and role: "+strings.Join(other, ", ")+".")
	}
	if len(w.Knobs) > 0 {
		w.Notes = append(w.Notes, "Travel and step of the knobs are not known; say them with --knobs \""+w.Knobs[0].Name+"=0..255/1,...\".")
	}
	return nil
}

// upsets are the steps after which readings of gray are of another experiment:
// they move all guns at once.
var upsets = [...]string{"setup-switch", "black", "white"}

// jobRounds are the readings of gray, oldest first, that say where all knobs
// stood, since black and white level were set last.
func jobRounds(w *whiteWork, entries []job.Entry) error {
	lacking, without, earlier := "", 0, 0
	for _, e := range entries {
		if e.Kind == job.KindDone && slices.Contains(upsets[:], e.Done.Step) {
			earlier, w.Rounds = earlier+len(w.Rounds), nil
		}
		if e.Kind != job.KindMeasure || e.Measure.What != job.WhatGray {
			continue
		}
		settings := make([]float64, 0, len(w.Knobs))
		for _, k := range w.Knobs {
			i := slices.IndexFunc(e.Measure.Controls, func(c job.Control) bool { return strings.EqualFold(c.Name, k.Name) })
			if i < 0 {
				lacking = k.Name
				break
			}
			settings = append(settings, e.Measure.Controls[i].Value)
		}
		if len(settings) < len(w.Knobs) {
			without++
			continue
		}
		steps, err := graySteps(lightOf(e.Measure.Light))
		if err != nil {
			return fmt.Errorf("entry %d: %w", e.ID, err)
		}
		w.Rounds = append(w.Rounds, white.Round{Settings: settings, Steps: steps})
	}
	if len(w.Rounds) == 0 && earlier > 0 {
		return fmt.Errorf("black or white level was set after the last readings of gray that say where the knobs stood, and it moves all guns; read the gray steps again with `backporch job measure gray --knobs %s=...`", w.Knobs[0].Name)
	}
	if earlier > 0 {
		w.Notes = append(w.Notes, fmt.Sprintf("Rounds read before black or white level was set last, left out: %d.", earlier))
	}
	if len(w.Rounds) == 0 {
		return fmt.Errorf("no readings of gray say where %s stood; record them with `backporch job measure gray --knobs %s=...`", lacking, lacking)
	}
	if without > 0 {
		w.Notes = append(w.Notes, fmt.Sprintf("Readings of gray that do not say where all knobs stood, left out: %d.", without))
	}
	return nil
}
