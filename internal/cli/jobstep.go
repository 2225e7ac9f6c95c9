package cli

import (
	"fmt"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
	"backporch/pattern"
)

// record is one step in full. People read the cautions before they are told
// where to put their hands.
func (o *jobNextOptions) record(w *jobWork, s *job.StepState) *table.Record {
	if o.JSON || o.CSV {
		return stepData(w, s)
	}
	set := w.Set()
	rec := &table.Record{Name: "job-step", Title: fmt.Sprintf("%s, step %d of %d: %s", set.Label, w.place(s.Key), len(w.States), s.Title)}
	add := func(name, text string) {
		if text != "" {
			rec.Fields = append(rec.Fields, table.Field{Name: name, Key: fmt.Sprintf("line_%d", len(rec.Fields)), Value: strings.TrimSpace(text)})
		}
	}
	add("Step", s.Key)
	add("State", stateWords(s))
	add("Input", s.Input)
	for _, c := range w.cautions(&s.Step) {
		add("CAUTION", sentence(c.Title)+" "+c.Text)
	}
	add("Do", s.Do)
	add("Pattern", strings.Join(stepPatterns(&s.Step), "; "))
	add("Look for", s.Look)
	for _, key := range s.Limits {
		if l := w.Plan.Limit(key); l != nil {
			add("Tolerance", fmt.Sprintf("%s: %s (%s)", l.Name, limitWords(l), limitSource(l)))
		}
	}
	add("Adjust", s.Adjust)
	add("Source", s.Source)
	return rec
}

// paste are the lines that are meant to be copied: never broken.
func (o *jobNextOptions) paste(w *jobWork, s *job.StepState) string {
	var b strings.Builder
	line := func(text string) { b.WriteString("\n  " + text) }
	if specs := stepPatterns(&s.Step); len(specs) > 0 {
		b.WriteString("\n" + map[bool]string{true: "The picture", false: "The pictures, one by one"}[len(specs) == 1])
		for _, spec := range specs {
			line(renderCommand(w.Set(), &s.Step, spec))
		}
		b.WriteByte('\n')
	}
	for _, l := range stepCommands(w, s) {
		b.WriteString("\n" + l[1])
		line(l[0])
		b.WriteByte('\n')
	}
	return b.String()
}

// limitSource says whose figure a tolerance is.
func limitSource(l *job.Limit) string {
	if l.Own {
		return "own: " + l.Source
	}
	return l.Source
}

// cautions are those of a step. A step of the user's own that names none has the
// general one: where it sends the hands is not known.
func (w *jobWork) cautions(s *job.Step) []job.Caution {
	if list := w.Plan.Cautions(s); len(list) > 0 || !s.Own {
		return list
	}
	return []job.Caution{{Key: "general", Title: "The inside of the set", Text: strings.ReplaceAll(caution, "\n", " ")}}
}

// stepData is one step for programs.
func stepData(w *jobWork, s *job.StepState) *table.Record {
	set := w.Set()
	text := func(s string) any {
		if s == "" {
			return nil
		}
		return s
	}
	rec := &table.Record{Name: "job-step", Fields: []table.Field{
		{Name: "Job", Value: w.Name}, {Name: "Set", Value: set.Label},
		{Name: "Step", Value: s.Key}, {Name: "Title", Value: s.Title}, {Name: "Number", Value: w.place(s.Key)}, {Name: "Steps", Value: len(w.States)},
		{Name: "State", Value: string(s.Status)}, {Name: "Why", Value: text(s.Why)}, {Name: "Waits for", Value: append([]string{}, s.Waits...)},
		{Name: "Input", Value: text(s.Input)}, {Name: "Do", Value: s.Do}, {Name: "Look for", Value: text(s.Look)},
		{Name: "Adjust", Value: text(s.Adjust)}, {Name: "Measure", Value: text(string(s.Measure))},
		{Name: "Source", Value: text(s.Source)}, {Name: "Own", Value: s.Own},
	}}
	cautions := &table.Table{Name: "cautions", Columns: []table.Column{{Name: "Key"}, {Name: "Title"}, {Name: "Text"}, {Name: "Source"}}}
	for _, c := range w.cautions(&s.Step) {
		cautions.Add(c.Key, c.Title, c.Text, c.Source)
	}
	patterns := &table.Table{Name: "patterns", Columns: []table.Column{{Name: "Pattern"}, {Name: "Command"}}}
	for _, spec := range stepPatterns(&s.Step) {
		patterns.Add(spec, renderCommand(set, &s.Step, spec))
	}
	var limits []job.Limit
	for _, key := range s.Limits {
		if l := w.Plan.Limit(key); l != nil {
			limits = append(limits, *l)
		}
	}
	needs := &table.Table{Name: "after", Columns: []table.Column{{Name: "Step"}, {Name: "Why"}}}
	for _, n := range s.After {
		needs.Add(n.Step, n.Why)
	}
	commands := &table.Table{Name: "commands", Columns: []table.Column{{Name: "Command"}, {Name: "For"}}}
	for _, l := range stepCommands(w, s) {
		commands.Add(l[0], l[1])
	}
	rec.Tables = []*table.Table{patterns, cautions, limitTable(limits), needs, commands}
	return rec
}

// stepCommands are what can be typed for a step, and what for.
func stepCommands(w *jobWork, s *job.StepState) (list [][2]string) {
	flag := w.flag()
	if n := len(stepPatterns(&s.Step)); n > 0 {
		step := ""
		if next := job.Next(w.States); next == nil || next.Key != s.Key {
			step = " --step " + s.Key
		}
		list = append(list, [2]string{"backporch job next" + flag + step + " --render", map[bool]string{true: "The same, with the step in its name", false: "All of them, with the step in their names"}[n == 1]})
	}
	if s.Measure != "" {
		input := ""
		if s.Input != "" {
			input = " --input " + s.Input
		}
		what := "Its readings"
		if s.Measure == job.WhatSource {
			input, what = " --check FILE.json", "What `backporch check --json` said of it"
		}
		list = append(list, [2]string{"backporch job measure " + string(s.Measure) + input + flag, what})
	}
	return append(list, [2]string{"backporch job done " + s.Key + flag + " --adjusted TEXT", "When it is done"})
}

// stepPictures is how the pictures of a step are laid out. Setup belongs to
// composite and Y/C: a step of another input has none.
func stepPictures(set *job.Set, step *job.Step) *pictureFlags {
	p := setPicture(set)
	for _, in := range set.Inputs {
		if in.Name == step.Input && !hasSetup(in.Wire) {
			p.Setup, p.PlayerSetup = "as-player", ""
		}
	}
	return p
}

// renderCommand is the command that makes a pattern for a set, ready to be
// copied.
func renderCommand(set *job.Set, step *job.Step, spec string) string {
	p := stepPictures(set, step)
	words := []string{"backporch", "render"}
	e, _, options, err := pattern.Resolve(spec)
	if err != nil {
		return "" // a step of the user's own, checked when it was recorded
	}
	for i, w := range strings.Fields(pattern.Spell(e, options)) {
		if i > 0 {
			w = "--" + w
		}
		words = append(words, quoted(w))
	}
	add := func(flag, value, usual string) {
		if value != "" && value != usual {
			words = append(words, "--"+flag, quoted(value))
		}
	}
	if p.Device == "" {
		add("raster", p.Raster, usualRaster)
	} else {
		add("raster", p.Raster, "")
	}
	add("device", p.Device, "")
	add("setup", p.Setup, "as-player")
	add("player-setup", p.PlayerSetup, "")
	add("aspect", p.Aspect, "4:3")
	return strings.Join(words, " ")
}

// quoted is a word as a shell takes it.
func quoted(s string) string {
	plain := func(r rune) bool {
		return strings.ContainsRune("/._-+=:,@%", r) || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z'
	}
	if s != "" && !strings.ContainsFunc(s, func(r rune) bool { return !plain(r) }) {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}
