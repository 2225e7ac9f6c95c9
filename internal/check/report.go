package check

import (
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/internal/ingest"
	"backporch/internal/measure"
	"backporch/pattern"
	"backporch/timing"
)

// A Report is one capture, measured and judged.
type Report struct {
	File    string
	Spec    string // how the pattern is spelled
	Program string
	Kind    string // of the file
	Order   byte   // of its fields, as it says: p t b ?
	Class   Class
	Via     Via
	Request *measure.Request
	Result  *measure.Result
	Motion  *Motion // nil: the pattern stands still, or there was one frame
	Notes   []string
	Change  *Change // since an earlier check; nil: not asked for

	Levels  measure.Levels
	Items   []Item
	Verdict Verdict
}

// Picture returns the mean of frames as package measure takes it.
func Picture(m *ingest.Mean) *measure.Picture {
	return &measure.Picture{
		Width: m.Width, Height: m.Height, Across: m.Across, Down: m.Down,
		Fields: m.Order == 't' || m.Order == 'b', Coding: m.Coding, Frames: m.Frames,
		Planes: m.Planes, Noise: m.Noise, Raster: m.Raster,
	}
}

// Judge fills in the rest of a report whose result is there.
func (r *Report) Judge() {
	if r.Motion != nil {
		r.Result.Findings = append(r.Result.Findings, r.Motion.findings()...)
		slices.SortStableFunc(r.Result.Findings, func(a, b measure.Finding) int {
			switch {
			case a.Confidence > b.Confidence:
				return -1
			case a.Confidence < b.Confidence:
				return 1
			}
			return 0
		})
	}
	r.Levels = measure.FitLevels(r.Result.Patches)
	r.Items = r.items()
	r.Verdict = r.verdict()
}

// shift is where the picture lies against its place, less what the capture
// device is known to do: samples and rows.
func (r *Report) shift() (right, down float64) {
	right, down, _, _ = r.Result.Place.Against(r.Result.Nominal)
	if c := r.Via.Calibration; c != nil && c.Width == r.Request.Picture.Width && c.Height == r.Request.Picture.Height {
		if c.Shift != nil {
			right -= *c.Shift
		}
		if c.Down != nil {
			down -= *c.Down
		}
	}
	return right, down
}

// microseconds is a distance in samples of the capture as time on the line. A
// capture has no clock of its own, so it goes by how wide the picture is.
func (r *Report) microseconds(samples float64) float64 {
	heights := samples / r.Result.Place.DX
	return heights / r.system().HeightsPerMicrosecond().Float64()
}

func (r *Report) system() *timing.System { return r.Request.Raster.Scan.System }

// placed reports whether the place of the picture is sure enough to judge what
// was measured there. A picture that correlates as only the pattern does has its
// levels where they are looked for, whichever of several like places it is.
func (r *Report) placed() bool {
	at := &r.Result.Place
	return r.Request.Region != [4]float64{} || at.Score >= 0.95 || at.Sure >= 0.5 && at.Score >= 0.6
}

// exact reports whether the place is the one: then shifts and shapes are judged.
func (r *Report) exact() bool {
	return r.placed() && (r.Request.Region != [4]float64{} || r.Result.Place.Sure >= 0.5)
}

// noise is that of the quieter patches, as a share of white; false where none was
// measured. It is looked for between black and white, where nothing cuts it; at
// the edges of the others cross color creeps from frame to frame.
func (r *Report) noise() (float64, bool) {
	var all, between []float64
	for _, p := range r.measured() {
		if !flat(p) {
			continue
		}
		n := p.Noise[colorimetry.Y]
		all = append(all, n)
		if p.Got.Y > 0.05 && p.Got.Y < 0.95 {
			between = append(between, n)
		}
	}
	if len(between) > 0 {
		all = between
	}
	if len(all) == 0 {
		return 0, false
	}
	slices.Sort(all)
	return all[len(all)/4], true
}

// Difference is how far apart what was measured and what was expected look on an
// aligned set: CIEDE2000 on the phosphors of the system, white D65 at L* 100, by
// the curve of ITU-R BT.1886 with a black of 0. False where a color is no color
// of a tube.
func (r *Report) Difference(p *measure.Patch) (float64, bool) {
	red, green, blue := p.Expect.RGB()
	if !p.Measured() || p.Kind != pattern.Level || min(red, green, blue) < -0.02 || max(red, green, blue) > 1.1 {
		return 0, false
	}
	return colorimetry.CIEDE2000(r.lab(p.Expect), r.lab(p.Got)), true
}

func (r *Report) lab(s colorimetry.Signal) colorimetry.Lab {
	name := "smpte-c"
	if r.system() == timing.System625 {
		name = "ebu"
	}
	primaries, err := colorimetry.ParsePrimaries(name)
	if err != nil {
		panic(err) // both are rows of the table
	}
	white := colorimetry.D65.XY
	red, green, blue := s.RGB()
	light := func(v float64) float64 { return math.Pow(max(0, v), 2.4) } // BT.1886 Annex 1 with LB = 0
	return primaries.Matrix(white).XYZ(light(red), light(green), light(blue)).Lab(white.At(1))
}
