package job

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func f(v float64) *float64 { return &v }

func measure(m Measurement) Entry { return Entry{Kind: KindMeasure, Measure: &m} }

// goodEntries has one of each kind of entry and of measurement.
func goodEntries() map[string]Entry {
	return map[string]Entry{
		"set":         benchA(),
		"note":        note("line one\n\tline two"),
		"done":        {Kind: KindDone, Text: "took long", By: "the evening crew", Done: &Done{Step: "purity", Adjusted: "rings", Outcome: OutcomeOut, Again: true}},
		"step":        {Kind: KindStep, Step: &Step{Key: "handles", Title: "Handles", Do: "Look at the handles."}},
		"limit":       {Kind: KindLimit, Limit: &Limit{Key: "white-point", Max: f(2)}},
		"gray":        measure(Measurement{What: WhatGray, Stage: After, Input: "video-1", Light: []Light{{Level: -10}, {Level: 120, X: 90, Y: 100, Z: 110}}, Controls: []Control{{"red-drive", -3}, {"blue-drive", 1e6}}}),
		"guns":        measure(Measurement{What: WhatGuns, Light: []Light{{Name: "red", Level: 100, Y: 20}}}),
		"uniformity":  measure(Measurement{What: WhatUniformity, Light: []Light{{Name: "center", Level: 100, Y: 20}}}),
		"geometry":    measure(Measurement{What: WhatGeometry, Rulers: []Ruler{{Column: -1, Across: f(3)}, {Row: 2, Down: f(-0.5)}}, Edges: &Edges{400, 300}}),
		"convergence": measure(Measurement{What: WhatConvergence, Offsets: []Offset{{Zone: "center", Gun: "red", Right: -0.3}, {Zone: "center", Gun: "blue", Down: 0.2}}}),
		"purity":      measure(Measurement{What: WhatPurity, Grades: []Grade{{Zone: "center", Field: "red", Grade: 5}}}),
		"focus":       measure(Measurement{What: WhatFocus, Grades: []Grade{{Zone: "center", Grade: 1}}}),
		"chroma":      measure(Measurement{What: WhatChroma, Bars: []Bar{{Name: "gray", Light: f(0)}, {Name: "cyan", Than: "blue", Looks: "darker"}}}),
		"regulation":  measure(Measurement{What: WhatRegulation, Sizes: []Size{{Level: 0, Width: 380}, {Level: 100, Height: 290}}}),
		"source":      measure(Measurement{What: WhatSource, Source: &Check{Verdict: "fit", Sentence: "The source is fit."}}),
	}
}

// What is accepted is read again as it was.
func TestValidateAccepts(t *testing.T) {
	for name, e := range goodEntries() {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, e.Validate())
			b := newBench(t)
			create(t, b, "bench-a")
			b.stamp(&e, 2)
			assert.Equal(t, e, add(t, b, "bench-a", e).Entries[1])
			j, err := b.Open("bench-a")
			require.NoError(t, err)
			assert.Equal(t, e, j.Entries[1])
			assert.Empty(t, j.Unknown())
		})
	}
	measured := map[What]bool{}
	for _, e := range goodEntries() {
		if e.Measure != nil {
			measured[e.Measure.What] = true
		}
	}
	assert.Len(t, measured, len(Whats()), "each kind of measurement is tried")
}

func TestValidateRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, tt := range []struct {
		from   string
		change func(*Entry)
		want   string
	}{
		{"note", func(e *Entry) { e.Kind = "" }, `kind is ""; give set, done, note, measure, step or limit`},
		{"note", func(e *Entry) { e.Text = "" }, "text is empty; give the words of the note"},
		{"note", func(e *Entry) { e.Text = "red\x1b[31m" }, "text has the control character U+001B in it; leave it out"},
		{"note", func(e *Entry) { e.Text = "a\xff" }, "text is no UTF-8 text; type it again"},
		{"note", func(e *Entry) { e.By = "a\x00" }, "by has the control character U+0000 in it; leave it out"},
		{"note", func(e *Entry) { e.Set = benchA().Set }, `set does not belong to an entry of the kind "note"; record it in an entry of its own`},
		{"done", func(e *Entry) { e.Done = nil }, "done is missing from an entry of that kind; give it"},
		{"done", func(e *Entry) { e.Done.Step = "" }, "done.step is empty; give the key of a step, as backporch job show lists them"},
		{"done", func(e *Entry) { e.Done.Outcome = "fine" }, `done.outcome is "fine"; give ok, out, cannot or not-done`},
		{"step", func(e *Entry) { e.Step.Key = " " }, "step.key is empty; give a short key, such as handles"},
		{"step", func(e *Entry) { e.Step.Do = "" }, "step.do is empty; give what to do"},
		{"limit", func(e *Entry) { e.Limit.Key = "" }, "limit.key is empty; give a key, such as white-point"},
		{"limit", func(e *Entry) { e.Limit.Max = nil }, "limit has no bound; give min, max or both"},
		{"limit", func(e *Entry) { e.Limit.Max = &nan }, "limit.max is no finite number; give a number, or leave the bound out"},
		{"limit", func(e *Entry) { e.Limit.Min = f(3) }, "limit.min is 3, above max 2; give a least value that is no larger than the largest"},

		{"set", func(e *Entry) { e.Set.Label = "" }, `set.label is empty; give what is written on the set, such as "Bench A"`},
		{"set", func(e *Entry) { e.Set.Tube = "flat" }, `set.tube is "flat"; give shadow-mask, aperture-grille or slot-mask`},
		{"set", func(e *Entry) { e.Set.Guns = "" }, `set.guns is ""; give in-line or delta`},
		{"set", func(e *Entry) { e.Set.DiagonalMM = 20000 }, "set.diagonal_mm is 20000; give a number from 10 to 2000 mm, or 0 if it is not known"},
		{"set", func(e *Entry) { e.Set.Aspect = "4x3" }, `set.aspect is "4x3"; give 4:3 or 16:9`},
		{"set", func(e *Entry) { e.Set.Inputs = nil }, "set.inputs is empty; give one at least, such as composite"},
		{"set", func(e *Entry) { e.Set.Inputs[0].Wire = "scart" }, `set.inputs[0].wire is "scart"; give composite, yc, component or rgb`},
		{"set", func(e *Entry) { e.Set.Inputs[1].Name = "video-1" }, `set.inputs[1].name is "video-1", as another input is called; give each input a name of its own`},
		{"set", func(e *Entry) { e.Set.Raster = "" }, "set.raster is empty; give a raster, as backporch list rasters has them"},
		{"set", func(e *Entry) { e.Set.Setup = "5" }, `set.setup is "5"; give 0, 7.5 or as-player`},
		{"set", func(e *Entry) { e.Set.Player = "as-player" }, `set.player_setup is "as-player"; give 0, 7.5 or nothing`},
		{"set", func(e *Entry) { e.Set.White = "" }, "set.target_white is empty; give a white, such as d65"},
		{"set", func(e *Entry) { e.Set.Primaries = "" }, "set.primaries is empty; give primaries, such as smpte-c"},
		{"set", func(e *Entry) { e.Set.Luminance = -1 }, "set.target_luminance_cd_m2 is -1; give a number from 0 to 10000 cd/m2, where 0 is the class's own"},
		{"set", func(e *Entry) { e.Set.Class = "grade-4" }, `set.class is "grade-4"; give grade-1, grade-2 or grade-3`},

		{"gray", func(e *Entry) { e.Measure.What = "grey" }, `measure.what is "grey"; give source, purity, convergence, geometry, focus, guns, gray, uniformity, chroma or regulation`},
		{"gray", func(e *Entry) { e.Measure.Stage = "later" }, `measure.stage is "later"; give nothing, before or after`},
		{"gray", func(e *Entry) { e.Measure.Light = nil }, `measure of "gray" holds no reading; give one reading at least`},
		{"gray", func(e *Entry) { e.Measure.Edges = &Edges{1, 1} }, `measure.edges does not belong to a measurement of "gray"; record it as a measurement of its own`},
		{"gray", func(e *Entry) { e.Measure.Light[0].Level = -11 }, "measure.light[0].level_percent is -11; give a number from -10 to 120 % of white"},
		{"gray", func(e *Entry) { e.Measure.Light[1].Level = 121 }, "measure.light[1].level_percent is 121; give a number from -10 to 120 % of white"},
		{"gray", func(e *Entry) { e.Measure.Light[1].Y = -0.01 }, "measure.light[1].Y_cd_m2 is -0.01; give a number from 0 to 100000 cd/m2"},
		{"gray", func(e *Entry) { e.Measure.Light[1].X = nan }, "measure.light[1].X_cd_m2 is no finite number; give a number from 0 to 100000 cd/m2"},
		{"gray", func(e *Entry) { e.Measure.Light[1].Z = inf }, "measure.light[1].Z_cd_m2 is no finite number; give a number from 0 to 100000 cd/m2"},
		{"gray", func(e *Entry) { e.Measure.Controls[0].Name = "" }, "measure.controls[0].name is empty; give the name of the control, such as red-drive"},
		{"gray", func(e *Entry) { e.Measure.Controls[1].Name = "red-drive" }, `measure.controls[1].name is "red-drive", which stands there already; give each control once`},
		{"gray", func(e *Entry) { e.Measure.Controls[0].Value = nan }, "measure.controls[0].value is no finite number; give a number from -1e+09 to 1e+09 in the control's own units"},
		{"guns", func(e *Entry) { e.Measure.Light[0].Name = "" }, "measure.light[0].name is empty; give the name of the field, such as red"},
		{"uniformity", func(e *Entry) { e.Measure.Light[0].Name = "" }, "measure.light[0].name is empty; give the name of the zone, such as center"},
		{"geometry", func(e *Entry) { e.Measure.Rulers = nil }, `measure of "geometry" holds no reading; give one reading at least`}, // the screen's size is none
		{"geometry", func(e *Entry) { e.Measure.Rulers[0].Across = nil }, "measure.rulers[0] holds no reading; give across_mm, down_mm or both"},
		{"geometry", func(e *Entry) { e.Measure.Rulers[1].Down = &inf }, "measure.rulers[1].down_mm is no finite number; give a number from -5000 to 5000 mm"},
		{"geometry", func(e *Entry) { e.Measure.Edges.Width = 0 }, "measure.edges.width_mm is 0; give a number from 1 to 5000 mm"},
		{"convergence", func(e *Entry) { e.Measure.Offsets[0].Zone = "" }, "measure.offsets[0].zone is empty; give the name of a zone, such as center"},
		{"convergence", func(e *Entry) { e.Measure.Offsets[0].Gun = "green" }, `measure.offsets[0].gun is "green"; give red or blue`},
		{"convergence", func(e *Entry) { e.Measure.Offsets[1].Down = nan }, "measure.offsets[1].down_mm is no finite number; give a number from -5000 to 5000 mm"},
		{"purity", func(e *Entry) { e.Measure.Grades[0].Zone = "" }, "measure.grades[0].zone is empty; give the name of a zone, such as center"},
		{"focus", func(e *Entry) { e.Measure.Grades[0].Grade = 0 }, "measure.grades[0].grade is 0; give 5 imperceptible, 4 perceptible, 3 slightly annoying, 2 annoying or 1 very annoying"},
		{"chroma", func(e *Entry) { e.Measure.Bars[0].Than = "blue" }, "measure.bars[0] is read by meter and by eye at once; give light_cd_m2, or than and looks"},
		{"chroma", func(e *Entry) { e.Measure.Bars[0].Light = nil }, "measure.bars[0].than is empty; give the other bar of the pair, such as blue, or light_cd_m2"},
		{"chroma", func(e *Entry) { e.Measure.Bars[0].Light = f(-1) }, "measure.bars[0].light_cd_m2 is -1; give a number from 0 to 100000 cd/m2"},
		{"chroma", func(e *Entry) { e.Measure.Bars[1].Looks = "bluer" }, `measure.bars[1].looks is "bluer"; give brighter, equal or darker`},
		{"chroma", func(e *Entry) { e.Measure.Bars[1].Than = "cyan" }, `measure.bars[1].than is "cyan", the bar itself; name two bars`},
		{"regulation", func(e *Entry) { e.Measure.Sizes[0].Width = 0 }, "measure.sizes[0] holds no reading; give width_mm, height_mm or both"},
		{"regulation", func(e *Entry) { e.Measure.Sizes[1].Height = -5 }, "measure.sizes[1].height_mm is -5; give a number from 0 to 5000 mm, where 0 is not read"},
		{"source", func(e *Entry) { e.Measure.Source.Verdict = "" }, "measure.source.verdict is empty; give the verdict of backporch check"},
	} {
		t.Run(tt.want, func(t *testing.T) {
			e := goodEntries()[tt.from]
			tt.change(&e)
			err := e.Validate()
			require.EqualError(t, err, tt.want)
			assert.ErrorAs(t, err, new(*FieldError))
		})
	}
	assert.NoError(t, benchA().Set.Validate())
	assert.ErrorContains(t, (&Set{}).Validate(), "set.label is empty")
	assert.ErrorContains(t, (&Measurement{}).Validate(), `measure.what is ""`)
}
