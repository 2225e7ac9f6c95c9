package cli

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/device"
	"backporch/internal/job"
)

// newBench makes a workshop folder with a job in it.
func newBench(t *testing.T, name string, args ...string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	t.Setenv(benchVariable, dir)
	t.Setenv(jobVariable, name)
	code, _, errs := run(t, append([]string{"job", "new", name}, args...)...)
	require.Zero(t, code, errs)
	return dir
}

// TestMeasureGeometry reads a true raster with a ruler: crossings of the
// crosshatch by arithmetic on its definition (12 rows of 19 lines of the 243
// of a field, square cells), 285 mm high, its middle 3 mm right of and 2 mm
// above that of a screen of 400 x 300 mm. What is told must be just that.
func TestMeasureGeometry(t *testing.T) {
	newBench(t, "bench-a", "--label", "Bench A", "--tube", "shadow-mask", "--inputs", "rgb", "--raster", "480i", "--size", "50cm")
	const height, cell = 285.0, 19.0 / 243 * 285
	args := []string{"job", "measure", "geometry", "--screen", "400x300", "--json"}
	for _, row := range []int{-5, 0, 5} {
		for _, column := range []int{-7, -3, 0, 3, 7} {
			args = append(args, "--read", fmt.Sprintf("%d,%d:%.4f %.4f", column, row, 203+cell*float64(column), 148+cell*float64(row)))
		}
	}
	code, out, errs := run(t, args...)
	assert.Zero(t, code, out+errs)
	var got struct {
		Values []struct {
			Key   string  `json:"key"`
			Value float64 `json:"value"`
		} `json:"values"`
	}
	require.NoError(t, json.Unmarshal([]byte(out), &got), out)
	values := map[string]float64{}
	for _, v := range got.Values {
		values[v.Key] = v.Value
	}
	// The analog picture is 52.8556 us wide, at 12.2727 MHz a square sample
	// (SMPTE 170M-2004; the clock is common practice), and 486 lines high.
	for key, want := range map[string]float64{
		"height": height, "width": 52.85556 * 12.27273 / 486 * height,
		"center-right": 100 * 3 / height, "center-down": -100 * 2 / height,
		"worst-inside": 0, "worst-outside": 0, "linearity-across": 0, "linearity-down": 0,
	} {
		require.Contains(t, values, key)
		assert.InDelta(t, want, values[key], 0.06, key)
	}
}

// TestMeasureRaw: what is kept are the readings as they were given, and nothing
// that was computed of them.
func TestMeasureRaw(t *testing.T) {
	dir := newBench(t, "bench-b", "--label", "Bench B", "--tube", "aperture-grille", "--inputs", "rgb", "--raster", "576i")
	code, _, errs := run(t, "job", "measure", "gray", "--stage", "after", "--by", "Bench B", "--note", "lamp off", "--knobs", "red-drive=12.5",
		"--read", "20:0.3127 0.3290 2", "--read", "100:0.3127 0.3290 80", "--invented")
	assert.Zero(t, code, errs)
	data, err := os.ReadFile(filepath.Join(dir, "bench-b.json"))
	require.NoError(t, err)
	var f struct{ Entries []job.Entry }
	require.NoError(t, json.Unmarshal(data, &f))
	require.Len(t, f.Entries, 2)
	e := f.Entries[1]
	assert.Equal(t, "lamp off", e.Text)
	assert.Equal(t, "Bench B", e.By)
	m := e.Measure
	assert.Equal(t, job.After, m.Stage)
	assert.True(t, m.Invented)
	assert.Equal(t, "rgb", m.Input, "the only one")
	assert.Equal(t, []job.Control{{Name: "red-drive", Value: 12.5}}, m.Controls)
	require.Len(t, m.Light, 2)
	assert.Equal(t, "xyY 0.3127 0.3290 2", m.Light[0].Given)
	assert.Equal(t, 20.0, m.Light[0].Level)
	// X = xY/y, Z = (1-x-y)Y/y.
	assert.InDelta(t, .3127/.3290*2, m.Light[0].X, 1e-9)
	assert.InDelta(t, 2, m.Light[0].Y, 1e-12)
	assert.InDelta(t, .3583/.3290*2, m.Light[0].Z, 1e-9)
}

func TestReadCheck(t *testing.T) {
	file := filepath.Join(t.TempDir(), "check.json")
	write := func(text string) { require.NoError(t, os.WriteFile(file, []byte(text), 0o600)) }

	write(`{"schema":"backporch/check/1","verdict":"fit-with-correction","in_words":"Fit with a correction.","file":"a.y4m","pattern":"bars-eg1","raster":"480i",
		"findings":[{"fault":"setup-added","confidence_percent":97.4,"words":"Setup was added."},{"fault":"noise"}]}`)
	c, err := readCheck(file, "480i")
	require.NoError(t, err)
	assert.Equal(t, &job.Check{Verdict: "fit-with-correction", Sentence: "Fit with a correction.", Pattern: "bars-eg1", File: "a.y4m",
		Findings: []string{"Setup was added (97 %)", "noise"}}, c)

	write(`{"schema":"backporch/check-scope/1","verdict":"black at 7.5 IRE; within tolerance","fit":true,"file":"line.csv"}`)
	c, err = readCheck(file, "480i")
	require.NoError(t, err)
	assert.Equal(t, "fit", c.Verdict)
	assert.Equal(t, "black at 7.5 IRE; within tolerance", c.Sentence)
	write(`{"schema":"backporch/check-scope/1","verdict":"out of tolerance: sync"}`)
	c, err = readCheck(file, "480i")
	require.NoError(t, err)
	assert.Equal(t, "not-fit", c.Verdict, "an oscilloscope's record without a word is not called fit")
}

// TestBlind: pixels at 3/2 fsc end at 5.37 / 2 MHz. Two bits have grays at 0, 33,
// 67 and 100 %, three have one at 14 % and six from 10 to 90 % (arithmetic). A
// player of video has no gray that is missing.
func TestBlind(t *testing.T) {
	p, err := device.Find("pixel-256")
	require.NoError(t, err)
	set := &job.Set{Device: "pixel-256 bits=222", Raster: p.Rasters[0].Name, Aspect: "4:3", Inputs: []job.Input{{Name: "video-1", Wire: "composite"}}}
	list, err := blindOf(set)
	require.NoError(t, err)
	why := map[string]string{}
	for _, b := range list {
		why[b.Quantity] += b.Why
		assert.NotEmpty(t, b.Way, b.Quantity)
	}
	assert.Contains(t, why[job.LimitPeaking], "2.68 MHz")
	assert.Contains(t, why[job.LimitFocusGrade], "2.68 MHz")
	assert.Contains(t, why[job.LimitGrayTracking], "has 4 grays, none of them from 5 to 25 %")
	assert.Contains(t, why[job.LimitGamma], "has 4 grays, 2 of them from 10 to 90 %")

	set.Device = "pixel-256 bits=333"
	list, err = blindOf(set)
	require.NoError(t, err)
	for _, b := range list {
		assert.NotContains(t, []string{job.LimitGrayTracking, job.LimitGamma}, b.Quantity)
	}

	list, err = blindOf(&job.Set{Device: "player-525", Raster: "480i", Aspect: "4:3", Inputs: set.Inputs})
	require.NoError(t, err)
	for _, b := range list {
		assert.NotContains(t, []string{job.LimitGrayTracking, job.LimitGamma, job.LimitChromaPhase, job.LimitChromaGain}, b.Quantity)
	}

	// An input that the device does not feed by that interface is not spoken of.
	set.Inputs = []job.Input{{Name: "rgb", Wire: "rgb"}}
	list, err = blindOf(set)
	require.NoError(t, err)
	for _, b := range list {
		assert.False(t, strings.HasPrefix(b.Quantity, "chroma"), b.Quantity)
	}
}

// TestCrossingRows: what the prompt asks for lies within the pattern, the middle
// and all corners among it, and nothing twice.
func TestCrossingRows(t *testing.T) {
	for _, spec := range []string{"crosshatch", "crosshatch down=2 across=2", "crosshatch across=16 down=8"} {
		c, _, err := crossings(&job.Set{Raster: "480i", Aspect: "4:3"}, spec)
		require.NoError(t, err)
		rows := crossingRows(c)
		seen := map[string]bool{}
		var m job.Measurement
		for _, row := range rows {
			assert.False(t, seen[row], "%s: %s twice", spec, row)
			seen[row] = true
			require.NoError(t, kindOf(job.WhatGeometry).take(&m, row+":1 1"))
		}
		assert.True(t, seen["0,0"], spec)
		assert.GreaterOrEqual(t, len(rows), 9, spec)
		if spec == "crosshatch" { // 17 upright and 13 level lines
			assert.Equal(t, []string{"-7,-5", "0,-5", "7,-5", "-7,0", "0,0", "7,0", "-7,5", "0,5", "7,5", "-4,0", "4,0", "0,-3", "0,3", "-4,-5"}, rows[:14])
			assert.Len(t, rows, 25, "as many as the worksheet has boxes")
		}
		assert.NoError(t, within(&m, c), spec)
	}
}
