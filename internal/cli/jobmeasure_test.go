package cli

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/job"
)

func mm(v float64) *float64 { return &v }

func TestTake(t *testing.T) {
	for _, tt := range []struct {
		what job.What
		read string
		want job.Measurement
	}{
		{job.WhatGeometry, "-6,0:12.5 -", job.Measurement{Rulers: []job.Ruler{{Column: -6, Across: mm(12.5)}}}},
		{job.WhatGeometry, " +2 , -1 : 12.5mm, 100 ", job.Measurement{Rulers: []job.Ruler{{Column: 2, Row: -1, Across: mm(12.5), Down: mm(100)}}}},
		{job.WhatConvergence, "top-left RED:0.3 -0.2", job.Measurement{Offsets: []job.Offset{{Zone: "top-left", Gun: "red", Right: .3, Down: -.2}}}},
		{job.WhatPurity, "center green:4 a faint stain", job.Measurement{Grades: []job.Grade{{Zone: "center", Field: "green", Grade: 4, Text: "a faint stain"}}}},
		{job.WhatFocus, "left:3", job.Measurement{Grades: []job.Grade{{Zone: "left", Grade: 3}}}},
		{job.WhatChroma, "gray:7.25", job.Measurement{Bars: []job.Bar{{Name: "gray", Light: mm(7.25)}}}},
		{job.WhatChroma, "blue:Darker gray", job.Measurement{Bars: []job.Bar{{Name: "blue", Looks: "darker", Than: "gray"}}}},
		{job.WhatRegulation, "10%:392 -", job.Measurement{Sizes: []job.Size{{Level: 10, Width: 392}}}},
	} {
		t.Run(string(tt.what)+" "+tt.read, func(t *testing.T) {
			var m job.Measurement
			require.NoError(t, kindOf(tt.what).take(&m, tt.read))
			assert.Equal(t, tt.want, m)
		})
	}
}

func TestTakeRefuses(t *testing.T) {
	for _, tt := range []struct {
		what  job.What
		reads []string // the last is refused
		want  string
	}{
		{job.WhatGeometry, []string{"12.5"}, `"12.5" does not say what was read, and then its figures`},
		{job.WhatGeometry, []string{"6:1 2"}, "it is no crossing; write the numbers of its upright and its level line"},
		{job.WhatGeometry, []string{"6,0:1"}, `"1" is not 2 figures`},
		{job.WhatGeometry, []string{"6,0:- -"}, "neither figure was read"},
		{job.WhatGeometry, []string{"6,0:NaN 3"}, `"NaN" is not within -1500 to 1500 mm`},
		{job.WhatGeometry, []string{"6,0:1 2", "6,0:1 2"}, "it was read twice"},
		{job.WhatConvergence, []string{"centre red:1 2"}, `"centre" is no zone (did you mean center?)`},
		{job.WhatConvergence, []string{"center:1 2"}, "it is not a zone and a gun; write them as center red"},
		{job.WhatConvergence, []string{"center green:1 2"}, `"green" is no gun; use one of red, blue`},
		{job.WhatConvergence, []string{"center red:1 -"}, "both figures are needed"},
		{job.WhatConvergence, []string{"center red:1 2", "center red:0 0"}, "it was read twice"},
		{job.WhatPurity, []string{"center:4"}, "it is not a zone and a field; write them as center red"},
		{job.WhatPurity, []string{"center red:6"}, `"6" is no grade; use 1 to 5`},
		{job.WhatFocus, []string{"center red:4"}, "it is not a zone alone; use one of center"},
		{job.WhatFocus, []string{"left:4", "left:4"}, "it was read twice"},
		{job.WhatChroma, []string{"grey:4"}, `"grey" is no bar that is read (did you mean gray?)`},
		{job.WhatChroma, []string{"gray:-1"}, `"-1" is no light in cd/m2`},
		{job.WhatRegulation, []string{"dark:300 200"}, "it is no mean level in per cent"},
		{job.WhatRegulation, []string{"10:0 200"}, `"0" is not within 1 to 1500 mm`},
	} {
		t.Run(string(tt.what)+" "+strings.Join(tt.reads, ";"), func(t *testing.T) {
			var m job.Measurement
			last := len(tt.reads) - 1
			for _, read := range tt.reads[:last] {
				require.NoError(t, kindOf(tt.what).take(&m, read))
			}
			assert.ErrorContains(t, kindOf(tt.what).take(&m, tt.reads[last]), tt.want)
		})
	}
}

// TestKinds: every kind that is typed has what the prompt needs, and the prompt's
// own rows are readings that are taken.
func TestKinds(t *testing.T) {
	figures := map[job.What]string{job.WhatConvergence: "0 0", job.WhatPurity: "5", job.WhatFocus: "5", job.WhatChroma: "1", job.WhatRegulation: "300 200"}
	for _, w := range job.Whats() {
		k := kindOf(w)
		if w == job.WhatSource {
			assert.Nil(t, k, "check reads the source")
			continue
		}
		require.NotNil(t, k, w)
		assert.NotEmpty(t, k.Spelling, w)
		assert.NotEmpty(t, k.Title, w)
		if k.Light {
			l := &lightFlags{Form: "xyY"}
			for _, row := range k.Rows {
				_, err := l.sample(row+":0.31 0.33 10", k.Names)
				assert.NoError(t, err, "%s %s", w, row)
			}
			continue
		}
		var m job.Measurement
		for _, row := range k.Rows {
			assert.NoError(t, k.take(&m, row+":"+figures[w]), "%s %s", w, row)
		}
	}
}

func TestEye(t *testing.T) {
	var m job.Measurement
	require.NoError(t, takeEye(&m, "blue darker gray, Cyan is brighter than magenta"))
	assert.Equal(t, []job.Bar{{Name: "blue", Looks: "darker", Than: "gray"}, {Name: "cyan", Looks: "brighter", Than: "magenta"}}, m.Bars)
	require.NoError(t, takeEye(&m, "red equal to gray"))

	for text, want := range map[string]string{
		"blue darker":          "does not hold two bars against each other",
		"blue dark gray":       `"dark" is no way for a bar to look`,
		"blue darkr gray":      "(did you mean darker?)",
		"navy darker gray":     `"navy" is no bar that is read`,
		"blue equal blue":      "blue is held against itself",
		"magenta equal cyan, ": "does not hold two bars",
		"blue brighter gray":   "blue and gray: it was read twice",
	} {
		m := m
		assert.ErrorContains(t, takeEye(&m, text), want, text)
	}
}

func TestKnobs(t *testing.T) {
	got, err := knobs("red-drive=128, green-cutoff=-3.5")
	require.NoError(t, err)
	assert.Equal(t, []job.Control{{Name: "red-drive", Value: 128}, {Name: "green-cutoff", Value: -3.5}}, got)
	for _, bad := range []string{"red", "=1", "red=x", "red=NaN", "red=Inf", "red=1,,", "red=1,red=2"} {
		_, err := knobs(bad)
		assert.Error(t, err, bad)
	}
}

func TestMeasureTable(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		what       job.What
		columns    map[string]string
		want       job.Measurement
	}{
		{"units in brackets", "column,row,Across (mm),Down [mm]\n-6,0,12.5,\n", job.WhatGeometry, nil,
			job.Measurement{Rulers: []job.Ruler{{Column: -6, Across: mm(12.5)}}}},
		{"other order, units at the end", "# bench A\nright_mm;down_mm;zone;gun\n0,3;-0,2;top;red\n", job.WhatConvergence, nil,
			job.Measurement{Offsets: []job.Offset{{Zone: "top", Gun: "red", Right: .3, Down: -.2}}}},
		{"words, no text column", "zone\tgrade\ncenter\t4\n", job.WhatFocus, nil, job.Measurement{Grades: []job.Grade{{Zone: "center", Grade: 4}}}},
		{"text with commas", "zone;grade;text\ncenter;4;soft, left half\n", job.WhatFocus, nil,
			job.Measurement{Grades: []job.Grade{{Zone: "center", Grade: 4, Text: "soft, left half"}}}},
		{"named columns, byte order mark", "\ufeffBalken,Lv\ngray,7\n", job.WhatChroma, map[string]string{"bar": "balken", "light": "LV"},
			job.Measurement{Bars: []job.Bar{{Name: "gray", Light: mm(7)}}}},
		{"a row without figures is left out", "level,width,height\n10,300,\n50,,\n100,303,\n", job.WhatRegulation, nil,
			job.Measurement{Sizes: []job.Size{{Level: 10, Width: 300}, {Level: 100, Width: 303}}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var m job.Measurement
			require.NoError(t, kindOf(tt.what).table(&m, strings.NewReader(tt.text), tt.columns))
			assert.Equal(t, tt.want, m)
		})
	}
}

func TestMeasureTableRefuses(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		what       job.What
		columns    map[string]string
		want       string
	}{
		{"empty", "", job.WhatFocus, nil, "it is empty; its first line names the columns: zone,grade,text"},
		{"only a head", "zone,grade\n", job.WhatFocus, nil, "it has a head and no readings below it"},
		{"no such column", "place,grade\n", job.WhatFocus, nil, "no column is headed zone; the heads are place, grade: name the right one with --columns zone=HEAD"},
		{"named column is not there", "zone,grade\n", job.WhatFocus, map[string]string{"zone": "Ort"}, `no column is headed "Ort"`},
		{"unknown quantity", "zone,grade\n", job.WhatFocus, map[string]string{"zoen": "Ort"}, `--columns: "zoen" is no column of these readings (did you mean zone?)`},
		{"twice", "zone,grade,Grade\n", job.WhatFocus, nil, "two columns are headed Grade"},
		{"bad value", "zone,grade\n# remark\ncenter,5\nleft,9\n", job.WhatFocus, nil, `line 4: left: "9" is no grade`},
		{"quotes", "zone,grade\n\"center,5\n", job.WhatFocus, nil, "no table: "},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.ErrorContains(t, kindOf(tt.what).table(&job.Measurement{}, strings.NewReader(tt.text), tt.columns), tt.want)
		})
	}
}

// TestMeasureFlags: which flags go with which readings.
func TestMeasureFlags(t *testing.T) {
	for _, tt := range []struct {
		args []string
		want string // "": agrees
	}{
		{[]string{"gray", "--read", "20:0.3 0.3 4"}, ""},
		{[]string{"chroma", "--eye", "blue equal gray"}, ""},
		{[]string{"grey"}, `"grey" is no kind of readings (did you mean gray?)`},
		{[]string{"gray", "--eye", "x"}, "--eye belongs to chroma, and these are readings of gray"},
		{[]string{"focus", "--form", "XYZ"}, "--form belongs to gray, guns, uniformity, and these are readings of focus"},
		{[]string{"gray", "--screen", "1x1"}, "--screen belongs to geometry, convergence,"},
		{[]string{"gray", "--stage", "later"}, `--stage: "later" is neither before nor after`},
		{[]string{"gray", "--read", "1:1 1 1", "--from", "a.csv"}, "--read and --from both bring readings in"},
		{[]string{"gray", "--columns", "level=L"}, "--columns names columns of a table"},
		{[]string{"gray", "--form", "Lab"}, "--form: "},
		{[]string{"chroma", "--eye", "x", "--read", "gray:1"}, "--eye and readings by meter tell the same"},
		{[]string{"source"}, "--check is missing"},
		{[]string{"source", "--check", "a.json", "--from", "a.csv"}, "readings of source are what check said"},
		{[]string{"gray", "--corrects", "-1"}, "--corrects: -1 is no entry"},
		{[]string{"geometry", "--pattern", "crosshach"}, "--pattern: "},
	} {
		t.Run(strings.Join(tt.args, " "), func(t *testing.T) {
			called := false
			cmd := newJobMeasure(&Streams{}, func(_ context.Context, o *jobMeasureOptions) error {
				called = true
				what, err := o.agree()
				if tt.want != "" {
					var usage *usageError
					require.ErrorAs(t, err, &usage)
					assert.Contains(t, err.Error(), tt.want)
					return nil
				}
				assert.Equal(t, job.What(tt.args[0]), what)
				return err
			})
			cmd.SetArgs(tt.args)
			require.NoError(t, cmd.Execute())
			assert.True(t, called)
		})
	}
}

func TestScreen(t *testing.T) {
	for text, want := range map[string]job.Edges{"400x300": {Width: 400, Height: 300}, " 406.5 X 305mm": {Width: 406.5, Height: 305}} {
		got, err := parseScreen(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, *got)
	}
	for _, bad := range []string{"", "400", "400x", "x300", "axb", "10x10", "NaNx300", "4000x3000", "1x2x3"} {
		_, err := parseScreen(bad)
		assert.Error(t, err, bad)
	}
}

// TestDue: months count from the last reading that counts, not from today.
func TestDue(t *testing.T) {
	now := time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC)
	j := &job.Job{}
	for text, want := range map[string]string{"12": "2032-05-06", "6 months": "2031-11-06", "2031-09-30": "2031-09-30"} {
		got, err := due(text, j, now)
		require.NoError(t, err, text)
		assert.Equal(t, want, got.Format(time.DateOnly))
	}
	for _, bad := range []string{"0", "121", "soon", "2031-13-01", "2030-01-01", "1.5"} {
		_, err := due(bad, j, now)
		assert.Error(t, err, bad)
	}
}
