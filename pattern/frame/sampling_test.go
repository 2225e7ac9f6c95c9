package frame

import (
	"testing"

	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func raster(t testing.TB, name string) *timing.Raster {
	t.Helper()
	r := timing.Lookup(name)
	require.NotNil(t, r, name)
	return r
}

// with returns a changed copy of a raster.
func with(r *timing.Raster, change func(*timing.Raster)) *timing.Raster {
	c := *r
	change(&c)
	return &c
}

// TestCheck: what fits, for every raster, and the exact text of what does not.
// 486 rows are 243 lines a field, which 4:2:0 by field cannot pair.
func TestCheck(t *testing.T) {
	for _, r := range timing.Rasters() {
		assert.NoError(t, S444.Check(r), r.Name)
		assert.NoError(t, S422.Check(r), r.Name)
		assert.NoError(t, S411.Check(r), r.Name)
		assert.Equal(t, r.Name == "576i-dv", S420DV.Check(r) == nil, r.Name)
		fits := Subsample420(r)
		assert.Equal(t, r.Scan.Interlaced(), fits == S420Field, r.Name)
		if r.Name != "486i" {
			assert.NoError(t, fits.Check(r), r.Name)
		}
	}
	cut := func(n int) func(*timing.Raster) {
		return func(r *timing.Raster) { r.Lines = r.Lines[:n] }
	}
	tests := []struct {
		name string
		m    Sampling
		r    *timing.Raster
		want string
	}{
		{"243 lines a field", S420Field, raster(t, "486i"),
			"raster 486i: 243 lines a field cannot be paired for 4:2:0 by field; use a 4:2:2 or 4:4:4 format, or raster 480i"},
		{"odd field of 625", S420Field, with(raster(t, "576i"), cut(574)),
			"raster 576i: 287 lines a field cannot be paired for 4:2:0 by field; use a 4:2:2 or 4:4:4 format, or raster 576i"},
		{"odd rows, interlaced", S420Field, with(raster(t, "480i"), cut(479)),
			"raster 480i: 479 rows cannot be paired for 4:2:0 by field; use a 4:2:2 or 4:4:4 format, or raster 480i"},
		{"odd rows", S420, with(raster(t, "240p-263"), cut(239)),
			"raster 240p-263: 239 rows cannot be paired for 4:2:0; use a 4:2:2 or 4:4:4 format, or raster 240p"},
		{"odd rows of 288p", S420, with(raster(t, "288p"), cut(1)),
			"raster 288p: 1 rows cannot be paired for 4:2:0; use a 4:2:2 or 4:4:4 format, or raster 288p"},
		{"frames on an interlaced raster", S420, raster(t, "480i"),
			"raster 480i is 525i, and 4:2:0 does not fit it; use 4:2:0 by field"},
		{"fields on another", S420Field, raster(t, "240p"),
			"raster 240p is 525p/262, and 4:2:0 by field does not fit it; use 4:2:0"},
		{"odd width", S422, with(raster(t, "240p"), func(r *timing.Raster) { r.Width = 341 }),
			"raster 240p: 341 samples cannot be paired for 4:2:2; use 4:4:4"},
		{"odd width of 4:2:0", S420, with(raster(t, "240p"), func(r *timing.Raster) { r.Width = 341 }),
			"raster 240p: 341 samples cannot be paired for 4:2:0; use 4:4:4"},
		{"running clock", S422, with(raster(t, "576i"), func(r *timing.Raster) { r.Free = true }),
			"raster 576i: its clock runs on over lines, so 4:2:2 has no place for chroma; use 4:4:4"},
		{"running clock, 4:2:0", S420Field, with(raster(t, "576i"), func(r *timing.Raster) { r.Free = true }),
			"raster 576i: its clock runs on over lines, so 4:2:0 by field has no place for chroma; use 4:4:4"},
		{"no rows", S444, with(raster(t, "240p"), cut(0)),
			"raster 240p: 720 samples by 0 rows is no picture; it needs at least one of each"},
		{"no samples", S444, with(raster(t, "240p"), func(r *timing.Raster) { r.Width = 0 }),
			"raster 240p: 0 samples by 240 rows is no picture; it needs at least one of each"},
		{"width of 4:1:1", S411, with(raster(t, "240p"), func(r *timing.Raster) { r.Width = 702 }),
			"raster 240p: 702 samples cannot be taken by fours for 4:1:1; use 4:2:2"},
		{"odd width of 4:1:1", S411, with(raster(t, "240p"), func(r *timing.Raster) { r.Width = 341 }),
			"raster 240p: 341 samples cannot be taken by fours for 4:1:1; use 4:4:4"},
		{"running clock, 4:1:1", S411, with(raster(t, "480i-dv"), func(r *timing.Raster) { r.Free = true }),
			"raster 480i-dv: its clock runs on over lines, so 4:1:1 has no place for chroma; use 4:4:4"},
		{"4:2:0 of DV, 525 lines", S420DV, raster(t, "480i-dv"),
			"raster 480i-dv: 4:2:0 of DV has the samples and lines of raster 576i-dv alone; use that raster, or 4:1:1"},
		{"4:2:0 of DV, top first", S420DV, raster(t, "576i"),
			"raster 576i: 4:2:0 of DV has the samples and lines of raster 576i-dv alone; use that raster, or 4:2:0 by field"},
		{"4:2:0 of DV, progressive", S420DV, raster(t, "288p"),
			"raster 288p: 4:2:0 of DV has the samples and lines of raster 576i-dv alone; use that raster, or 4:2:0"},
		{"4:2:0 of DV, fewer lines", S420DV, with(raster(t, "576i-dv"), cut(572)),
			"raster 576i-dv: 4:2:0 of DV has the samples and lines of raster 576i-dv alone; use that raster, or 4:2:0 by field"},
		{"4:2:0 of DV, other samples", S420DV, with(raster(t, "576i-dv"), func(r *timing.Raster) { r.Width = 704 }),
			"raster 576i-dv: 4:2:0 of DV has the samples and lines of raster 576i-dv alone; use that raster, or 4:2:0 by field"},
		{"running clock, 4:2:0 of DV", S420DV, with(raster(t, "576i-dv"), func(r *timing.Raster) { r.Free = true }),
			"raster 576i-dv: its clock runs on over lines, so 4:2:0 of DV has no place for chroma; use 4:4:4"},
		{"no sampling", Sampling(6), raster(t, "240p"),
			"Sampling(6) is no sampling; use one of [4:4:4 4:2:2 4:2:0 4:2:0 by field 4:1:1 4:2:0 of DV]"},
		{"negative sampling", Sampling(-1), raster(t, "240p"),
			"Sampling(-1) is no sampling; use one of [4:4:4 4:2:2 4:2:0 4:2:0 by field 4:1:1 4:2:0 of DV]"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { assert.EqualError(t, tt.m.Check(tt.r), tt.want) })
	}
	free := with(raster(t, "576i"), func(r *timing.Raster) { r.Free, r.Width = true, 1135 })
	assert.NoError(t, S444.Check(free))
	assert.NoError(t, S444.Check(with(raster(t, "240p"), func(r *timing.Raster) { r.Width = 341 })))
}

func TestStep(t *testing.T) {
	for _, tt := range []struct {
		m            Sampling
		across, down int
		name         string
	}{
		{S444, 1, 1, "4:4:4"}, {S422, 2, 1, "4:2:2"}, {S420, 2, 2, "4:2:0"}, {S420Field, 2, 2, "4:2:0 by field"},
		{S411, 4, 1, "4:1:1"}, {S420DV, 2, 2, "4:2:0 of DV"},
	} {
		across, down := tt.m.Step()
		assert.Equal(t, [2]int{tt.across, tt.down}, [2]int{across, down}, tt.name)
		assert.Equal(t, tt.name, tt.m.String())
	}
}

// TestBetween: the rows between which the first chroma rows lie. By field: at
// 1/4 of the lines 0 and 2 of one field, which is 0.5, and at 3/4 of the lines
// 1 and 3 of the other, 2.5 (ITU-T H.262: memory). DV: CR on the lines 0 1 4 5,
// CB on 2 3 6 7 (IEC 61834-2: memory).
func TestBetween(t *testing.T) {
	for _, tt := range []struct {
		m     Sampling
		plane int
		want  []float64
	}{
		{S420DV, 0, []float64{0, 1, 2, 3, 4, 5}},
		{S420DV, 1, []float64{2, 3, 6, 7, 10, 11}},
		{S420DV, 2, []float64{0, 1, 4, 5, 8, 9}},
		{S420Field, 1, []float64{0.5, 2.5, 4.5, 6.5}},
		{S420, 2, []float64{0.5, 2.5, 4.5, 6.5}},
		{S411, 1, []float64{0, 1, 2, 3}},
		{S422, 2, []float64{0, 1, 2, 3}},
		{S444, 1, []float64{0, 1, 2, 3}},
	} {
		for k, want := range tt.want {
			a, b := tt.m.Between(tt.plane, k)
			assert.Equal(t, want, float64(a+b)/2, "%v, plane %d, row %d", tt.m, tt.plane, k)
		}
	}
}
