package cli

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/job"
	"backporch/internal/meter"
)

// TestLightFlags: the same light, typed and out of tables, in all three forms.
// X = xY/y and Z = (1-x-y)Y/y; u' = 4x/(-2x+12y+3), v' = 9y/(-2x+12y+3) (CIE 1976).
func TestLightFlags(t *testing.T) {
	const x, y, Y = .3127, .3290, 80.0
	file := func(text string) string {
		name := filepath.Join(t.TempDir(), "a.csv")
		require.NoError(t, os.WriteFile(name, []byte(text), 0o600))
		return name
	}
	for _, tt := range []struct {
		name  string
		flags lightFlags
	}{
		{"xyY", lightFlags{Form: "xyY", Read: []string{"20:0.3127 0.3290 80"}}},
		{"XYZ", lightFlags{Form: "xyz", Read: []string{"20 %: 76.0365 80 87.1246"}}},
		{"Yu'v'", lightFlags{Form: "Yuv", Read: []string{"20:80 0.19783 0.46832"}}},
		{"table", lightFlags{Form: "xyY", From: file("level,x,y,Y\n20,0.3127,0.3290,80\n")}},
		{"table with decimal commas", lightFlags{Form: "xyY", From: file("IRE;x;y;Lv (cd/m2)\n20;0,3127;0,3290;80\n")}},
		{"named columns", lightFlags{Form: "xyY", Columns: "level = Reiz, Y=Licht", From: file("Reiz,x,y,Licht\n20,0.3127,0.3290,80\n")}},
		{"standard input", lightFlags{Form: "xyY", From: "-"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			list, err := tt.flags.samples(&Streams{In: strings.NewReader("level,x,y,Y\n20,0.3127,0.3290,80\n")}, nil)
			require.NoError(t, err)
			require.Len(t, list, 1)
			s := list[0]
			assert.InDelta(t, .2, s.Level, 1e-12)
			assert.InDelta(t, x*Y/y, s.XYZ.X, 5e-3)
			assert.InDelta(t, Y, s.XYZ.Y, 1e-9)
			assert.InDelta(t, (1-x-y)*Y/y, s.XYZ.Z, 5e-3)
		})
	}
}

// TestLightNames: fields are white but the black one; a level among them, or a
// name among steps, is refused.
func TestLightNames(t *testing.T) {
	l := &lightFlags{Form: "xyY", Read: []string{"Red:0.64 0.33 17", "black:0.31 0.33 0.1"}}
	list, err := l.samples(&Streams{}, meter.Fields())
	require.NoError(t, err)
	assert.Equal(t, []string{"red", "black"}, []string{list[0].Name, list[1].Name})
	assert.Equal(t, []float64{1, 0}, []float64{list[0].Level, list[1].Level})

	for read, want := range map[string]string{
		"20:0.31 0.33 2":     "20 % is a level, and these are readings of red, green",
		"reed:0.64 0.33 17":  `"reed" is none of red, green, blue, white, black (did you mean red?)`,
		"red 0.64 0.33 17":   "does not say what was read",
		"red:0.64 0.33":      "is not the three figures of xyY",
		"red:0.64 0.33 -1":   "-1",
		"red:0.9 0.9 17":     "is no color",
		"white:NaN 0.33 100": "NaN",
	} {
		l := &lightFlags{Form: "xyY", Read: []string{read}}
		_, err := l.samples(&Streams{}, meter.Fields())
		var usage *usageError
		require.ErrorAs(t, err, &usage, read)
		assert.ErrorContains(t, err, want, read)
	}
	_, err = (&lightFlags{Form: "xyY", Read: []string{"red:0.64 0.33 17"}}).samples(&Streams{}, nil)
	assert.ErrorContains(t, err, `"red" is no level in per cent`)
}

func TestLightColumns(t *testing.T) {
	got, err := (&lightFlags{Columns: "level=Stimulus, Y = Light (cd/m2)"}).columns()
	require.NoError(t, err)
	assert.Equal(t, map[string]string{"level": "Stimulus", "Y": "Light (cd/m2)"}, got)
	for _, bad := range []string{"level", "=x", "level=", "level=a,level=b", ","} {
		_, err := (&lightFlags{Columns: bad}).columns()
		assert.Error(t, err, bad)
	}
}

func TestLightStdinTerminal(t *testing.T) {
	_, err := (&lightFlags{Form: "xyY", From: "-"}).samples(&Streams{In: strings.NewReader(""), InTerminal: true}, nil)
	assert.ErrorContains(t, err, "--from -: standard input is a terminal; pipe the table in")
}

// FuzzMeasureTable: whatever a file holds, a table is read or refused, and what
// is read are finite figures.
func FuzzMeasureTable(f *testing.F) {
	f.Add("column,row,across,down\n-6,0,12.5,\n", uint8(0))
	f.Add("zone;gun;right_mm;down_mm\ntop;red;0,3;-0,2\n", uint8(1))
	f.Add("zone\tgrade\ttext\ncenter\t4\tsoft\n", uint8(2))
	f.Add("level,width,height\n10,300,\n", uint8(3))
	kinds := []job.What{job.WhatGeometry, job.WhatConvergence, job.WhatFocus, job.WhatRegulation, job.WhatChroma, job.WhatPurity}
	f.Fuzz(func(t *testing.T, text string, kind uint8) {
		var m job.Measurement
		if err := kindOf(kinds[int(kind)%len(kinds)]).table(&m, strings.NewReader(text), nil); err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a word")
			}
			return
		}
		for _, r := range m.Rulers {
			for _, v := range []*float64{r.Across, r.Down} {
				if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
					t.Fatalf("%v was read", *v)
				}
			}
		}
		for _, o := range m.Offsets {
			if math.IsNaN(o.Right + o.Down) {
				t.Fatal("NaN was read")
			}
		}
	})
}
