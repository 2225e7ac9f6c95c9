package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"

	"backporch/internal/geometry"
	"backporch/internal/job"
)

//go:embed worksheet.html
var worksheetText string

// A Worksheet is a blank sheet for the pencil at the bench.
type Worksheet struct {
	Name     string // of the job; "" for none
	Given    *Given // with the set and the plan
	Cautions []job.Caution
	Program  string
	Now      time.Time
}

// worksheetData is what the page shows.
type worksheetData struct {
	frame
	Facts    [][2]string
	Cautions []job.Caution
	Steps    []workStep
	Forms    []workForm
	Limits   grid
}

// A workStep is a step with room for how it ended.
type workStep struct {
	Number   int
	Title    string
	Do, Look string
	Pattern  string
	Adjust   string
	Limits   []string
	Cautions []string // titles
	Form     string   // where its readings are noted
}

// A workForm is where readings of a kind are noted.
type workForm struct {
	Title  string
	Hint   string
	Limits []string
	Grid   *grid
	SVG    template.HTML
}

// Write writes the worksheet as one HTML file that needs no other.
func (s *Worksheet) Write(w io.Writer) error {
	if s.Given == nil {
		panic("report: a worksheet without what it is for")
	}
	label := s.Name
	if s.Given.Set != nil {
		label = or(s.Given.Set.Label, s.Name)
	}
	d := &worksheetData{frame: newFrame(strings.TrimSpace("Worksheet "+label), s.Program, s.Now), Cautions: s.cautions()}
	d.Facts = setFacts(&job.Job{Name: or(s.Name, "-")}, s.Given)
	d.Steps = s.steps()
	d.Forms, d.Limits = s.forms(), s.limits()
	d.Notes = []string{"Maker's service data and local codes have the last word on everything that is done inside a set."}
	return execute(w, worksheetText, d)
}

// cautions are those that the steps name, in the order of the list; all of them
// where there is no plan.
func (s *Worksheet) cautions() []job.Caution {
	if s.Given.Plan == nil || len(s.Given.Plan.Steps) == 0 {
		return s.Cautions
	}
	var list []job.Caution
	for _, c := range s.Cautions {
		for _, step := range s.Given.Plan.Steps {
			if contains(step.Cautions, c.Key) {
				list = append(list, c)
				break
			}
		}
	}
	return list
}

func (s *Worksheet) steps() (list []workStep) {
	if s.Given.Plan == nil {
		return nil
	}
	for i := range s.Given.Plan.Steps {
		step := &s.Given.Plan.Steps[i]
		w := workStep{Number: i + 1, Title: step.Title, Do: step.Do, Look: step.Look, Adjust: step.Adjust, Limits: s.short(step.Limits)}
		w.Pattern = strings.Join(append(nonEmpty(step.Pattern), step.More...), "; ")
		for _, c := range s.Cautions {
			if contains(step.Cautions, c.Key) {
				w.Cautions = append(w.Cautions, c.Title)
			}
		}
		if step.Measure != "" {
			w.Form = whatTitle(step.Measure)
		}
		list = append(list, w)
	}
	return list
}

func nonEmpty(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

// chromaOf is the input of a step of chroma.
func chromaOf(step *job.Step) string {
	if step.Measure == job.WhatChroma {
		return step.Input
	}
	return ""
}

// short are tolerances without their sources, which stand at the end.
func (s *Worksheet) short(keys []string) (list []string) {
	for _, key := range keys {
		if l := s.Given.limit(key); l != nil {
			list = append(list, lower(l.Name)+" "+bounds(l.Min, l.Max, l.Unit))
		}
	}
	return list
}

// limits are where the tolerances that steps name are from.
func (s *Worksheet) limits() grid {
	used := map[string]bool{}
	if s.Given.Plan != nil {
		for _, step := range s.Given.Plan.Steps {
			for _, key := range step.Limits {
				used[key] = true
			}
		}
	}
	return limitGrid(s.Given, used)
}

// forms are one for each kind of reading that the plan has, once.
func (s *Worksheet) forms() (list []workForm) {
	type kind struct {
		what  job.What
		input string
	}
	limits := map[kind][]string{}
	var order []kind
	if s.Given.Plan == nil || len(s.Given.Plan.Steps) == 0 {
		for _, w := range job.Whats() {
			order = append(order, kind{w, ""})
		}
	} else {
		for i := range s.Given.Plan.Steps {
			step := &s.Given.Plan.Steps[i]
			if step.Measure == "" {
				continue
			}
			k := kind{step.Measure, chromaOf(step)}
			if _, ok := limits[k]; !ok {
				order = append(order, k)
				limits[k] = nil
			}
			for _, key := range step.Limits {
				if !contains(limits[k], key) {
					limits[k] = append(limits[k], key)
				}
			}
		}
	}
	var chroma []string // inputs; they share a form
	var held []string
	for _, k := range order {
		if k.what == job.WhatChroma {
			chroma = append(chroma, k.input)
			for _, key := range limits[k] {
				if !contains(held, key) {
					held = append(held, key)
				}
			}
			continue
		}
		f := s.form(k.what)
		f.Title = whatTitle(k.what)
		f.Limits = s.short(limits[k])
		list = append(list, f)
	}
	for inputs := range slices.Chunk(chroma, 3) {
		f := chromaForm(inputs)
		if len(chroma) > 3 {
			f.Title += " (" + strings.Join(inputs, ", ") + ")"
		}
		f.Limits = s.short(held)
		list = append(list, f)
	}
	return packed(list)
}

// packed are the forms in an order that leaves little paper empty: the short one
// of the source fits below the steps, and the drawings fill a page.
func packed(list []workForm) []workForm {
	rank := func(f workForm) int {
		switch {
		case f.Title == whatTitle(job.WhatSource):
			return 0
		case f.SVG != "":
			return 1
		case f.Title == whatTitle(job.WhatPurity), f.Title == whatTitle(job.WhatFocus), f.Title == whatTitle(job.WhatRegulation):
			return 2
		}
		return 3
	}
	slices.SortStableFunc(list, func(a, b workForm) int { return rank(a) - rank(b) })
	return list
}

// blank is a grid whose first column is filled in and the rest left open.
func blank(rows []string, heads ...string) *grid {
	g := newGrid("", heads...)
	for _, r := range rows {
		texts := make([]string, len(heads))
		texts[0] = r
		g.add(texts...)
	}
	return &g
}

// chromaForm is that of a few inputs side by side.
func chromaForm(inputs []string) workForm {
	heads := []string{"Bar"}
	for _, in := range inputs {
		heads = append(heads, strings.TrimSpace(in+" before"), strings.TrimSpace(in+" after"))
	}
	return workForm{Title: whatTitle(job.WhatChroma), Hint: "75 % bars, blue gun alone: by meter, or by eye how blue looks beside gray and cyan beside magenta (darker, equal, brighter).",
		Grid: blank([]string{"gray", "cyan", "magenta", "blue", "blue beside gray", "cyan beside magenta"}, heads...)}
}

// form is the rows or the drawing of a kind of reading.
func (s *Worksheet) form(w job.What) workForm {
	switch w {
	case job.WhatGray:
		var levels []string
		for n := 0; n <= 100; n += 10 {
			levels = append(levels, fmt.Sprintf("%d %%", n))
		}
		return workForm{Hint: "Light of each gray step: chromaticity and luminance. Where the controls stand: ____________________",
			Grid: blank(levels, "Signal", "x before", "y before", "Y before, cd/m2", "x after", "y after", "Y after, cd/m2")}
	case job.WhatGuns:
		return workForm{Hint: "Full fields. The black field tells what the unlit screen and the room add.",
			Grid: blank([]string{"red", "green", "blue", "white", "black"}, "Field", "x before", "y before", "Y before, cd/m2", "x after", "y after", "Y after, cd/m2")}
	case job.WhatUniformity:
		return workForm{Hint: "White at nine places of the screen.", Grid: blank(geometry.ZoneNames(), "Zone", "x before", "y before", "Y before, cd/m2", "x after", "y after", "Y after, cd/m2")}
	case job.WhatGeometry:
		return workForm{Hint: "Width of the visible screen ________ mm, height ________ mm. In each box note mm from the left edge of the screen to the circle and, beside it, mm from the upper edge: in the upper line before, in the lower one after the work. Numbers of lines count from the middle, left and up negative. Not to scale.",
			SVG: s.latticeDrawing()}
	case job.WhatConvergence:
		return workForm{Hint: "How far the red (R) and the blue (B) lines lie from the green ones: first mm right, then mm down; left and up are negative. Not to scale.", SVG: s.zoneDrawing()}
	case job.WhatPurity:
		return workForm{Hint: gradeHint, Grid: blank(geometry.ZoneNames(), "Zone", "Red before", "Green before", "Blue before", "Red after", "Green after", "Blue after")}
	case job.WhatFocus:
		return workForm{Hint: gradeHint, Grid: blank(geometry.ZoneNames(), "Zone", "Before", "After", "Remarks")}
	case job.WhatRegulation:
		return workForm{Hint: "Size of the picture with a dark and with a bright one.",
			Grid: blank([]string{"dark, ______ %", "bright, ______ %"}, "Mean level", "Width before, mm", "Height before, mm", "Width after, mm", "Height after, mm")}
	case job.WhatSource:
		return workForm{Hint: "What check said of the capture of the source: fit, fit with a correction, not fit, cannot tell.",
			Grid: blank([]string{"Verdict", "Capture, file", "Correction"}, "What", "Noted")}
	}
	return workForm{}
}

const gradeHint = "5 imperceptible, 4 perceptible but not annoying, 3 slightly annoying, 2 annoying, 1 very annoying (scale of ITU-R BT.500, memory)."
