package device

import (
	"cmp"
	"fmt"
	"math"
	"sort"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/internal/readings"
	"backporch/pattern"
	"backporch/timing"
)

// What a device may be off before it is marked: what can be told apart on a
// waveform monitor and a vectorscope, common practice.
const (
	LimitLuma   = 1.0 // IRE of 525 lines, per cent of white of 625
	LimitChroma = 2.0 // per cent of the wanted amplitude
	LimitHue    = 1.0 // degrees
)

// An Error is how far what a device emits is from what is wanted.
type Error struct {
	Luma float64 // IRE on 525 lines, per cent of 700 mV on 625 and N10
	MV   float64 // the same in mV
	// Chroma is in per cent of the wanted amplitude; of a neutral color, which
	// has none, the amplitude itself, peak to peak, in the unit of Luma.
	Chroma float64
	Hue    float64 // degrees, above -180 to 180; 0 where either is neutral
}

// BeyondLuma, BeyondChroma and BeyondHue say what is more than the limit.
func (e Error) BeyondLuma() bool { return math.Abs(e.Luma) > LimitLuma+tidyLimit }

// BeyondChroma: see [Error.BeyondLuma]. Color where there should be none counts
// from [LimitLuma] on.
func (e Error) BeyondChroma(neutral bool) bool {
	if neutral {
		return math.Abs(e.Chroma) > LimitLuma+tidyLimit
	}
	return math.Abs(e.Chroma) > LimitChroma+tidyLimit
}

// BeyondHue: see [Error.BeyondLuma].
func (e Error) BeyondHue() bool { return math.Abs(e.Hue) > LimitHue+tidyLimit }

// tidyLimit keeps a figure that is a limit to the last bit within it.
const tidyLimit = 1e-9

// errorOf compares two signals on a family's wire.
func errorOf(f *colorimetry.Family, want, got colorimetry.Signal) (e Error, neutral bool) {
	e.MV = clean(float64(f.Luma(got) - f.Luma(want)))
	unit := unitOf(f)
	e.Luma = e.MV / unit
	a, b := vectorOf(f, want), vectorOf(f, got)
	if a.amplitude < 1e-6 {
		e.Chroma = clean(2 * b.amplitude / unit)
		return e, true
	}
	e.Chroma = clean(100 * (b.amplitude/a.amplitude - 1))
	if b.amplitude > 1e-6 {
		e.Hue = clean(math.Remainder(b.degrees-a.degrees, 360))
	}
	return e, false
}

// clean drops what rounding leaves of nothing.
func clean(x float64) float64 {
	if math.Abs(x) < 1e-9 {
		return 0
	}
	return x
}

// unitOf is an IRE, or a per cent of white where that is 700 mV, in mV.
func unitOf(f *colorimetry.Family) float64 {
	if f.Lines == 625 || f.White == 700 {
		return 7
	}
	return 1000.0 / 140
}

// Unit names the unit of [Error.Luma] on a family's wire.
func Unit(f *colorimetry.Family) string {
	if unitOf(f) == 7 {
		return "%"
	}
	return "IRE"
}

// A vector is a color: its amplitude in mV (half of the subcarrier peak to
// peak, or the length of PB and PR), and its angle.
type vector struct{ amplitude, degrees float64 }

// vectorOf returns the color of a signal as it stands on the wire; on RGB cables
// as an encoder for composite would make it.
func vectorOf(f *colorimetry.Family, s colorimetry.Signal) vector {
	if f.Interface == colorimetry.ComponentRGB {
		f = colorimetry.CompositeJ
	}
	u, v := f.Vector(s)
	return vector{math.Hypot(float64(u), float64(v)), math.Atan2(float64(v), float64(u)) * 180 / math.Pi}
}

// A Row is one level of a patch: what should stand on the wire, and what the
// device emits.
type Row struct {
	Patch     pattern.Patch
	End       string // "", or which end of a ramp, "from" or "to", or which of two levels, "one" or "other"
	Want, Got colorimetry.Signal
	Error     Error
	Neutral   bool   // the wanted color has no chroma
	Note      string // "" or why it is not what a person would look for
}

// Size is the greatest part of its error, in units of that part's limit.
func (r Row) Size() float64 { return r.Error.score(r.Neutral) }

// Beyond reports whether anything is off by more than its limit.
func (r Row) Beyond() bool {
	return r.Error.BeyondLuma() || r.Error.BeyondChroma(r.Neutral) || r.Error.BeyondHue()
}

// Levels returns both as levels on a family's wire.
func (r Row) Levels(f *colorimetry.Family) (want, got readings.Level) {
	return readings.On(f, r.Want), readings.On(f, r.Got)
}

// A Report is what a device really emits of a picture.
type Report struct {
	Wire  *colorimetry.Family // that the figures are of
	Rows  []Row
	Merge *Merge // of a device with counted colors; whoever made its picture fills it in
}

// Beyond counts the rows that are off by more than a limit.
func (r *Report) Beyond() (n int) {
	for _, row := range r.Rows {
		if row.Beyond() {
			n++
		}
	}
	return n
}

// score is the greatest error in units of its limit.
func (e Error) score(neutral bool) float64 {
	chroma := math.Abs(e.Chroma) / LimitChroma
	if neutral {
		chroma = math.Abs(e.Chroma) / LimitLuma
	}
	return max(math.Abs(e.Luma)/LimitLuma, chroma, math.Abs(e.Hue)/LimitHue)
}

// Honesty says of each level of a scene, and of both ends of its ramps, what
// the device emits of x, the picture that was made for it by the plan; a device
// that plays video needs none. What is wanted are the definitions, on the
// plan's wire; a plan without a player gets the usual output.
func (p *Profile) Honesty(s *pattern.Scene, v pattern.View, plan colorimetry.Plan, x *pixfmt.Indexed) (*Report, error) {
	if p.Pixels() && x == nil {
		return nil, fmt.Errorf("device %s: what it emits follows from the colors of a picture, and there is none", p.Name)
	}
	if plan.Player == nil {
		plan.Player = p.Outputs[0]
	}
	plan.Wire = cmp.Or(plan.Wire, plan.Player)
	r := &Report{Wire: plan.Wire}
	var colors []colorimetry.Signal
	if p.Pixels() {
		colors = p.signals(x)
	}
	emit := func(want colorimetry.Signal, patch pattern.Patch, level bool) (got colorimetry.Signal, note string) {
		f, _ := plan.File(want, v.Coding)
		if !p.Pixels() {
			return plan.Emit(p.Plays(f, v.Coding.Model == colorimetry.RGB)), ""
		}
		if level {
			if s, ok := meanOf(x, colors, v.Shown, patch.Interior(v)); ok {
				return plan.Emit(s), ""
			}
			if n, ok := pixelOf(x, v.Shown, patch); ok {
				return plan.Emit(colors[n]), ""
			}
			note = "narrower than a pixel, or outside of the raster"
		}
		return plan.Emit(colors[nearestOf(colors, plan.Map(want), plan.Player)]), note
	}
	for _, patch := range s.Patches {
		var ends []Row
		switch {
		case patch.Kind == pattern.Level && patch.Want != patch.To:
			ends = []Row{{Want: patch.Want, End: "one"}, {Want: patch.To, End: "other"}}
		case patch.Kind == pattern.Level:
			ends = []Row{{Want: patch.Want}}
		case patch.Kind == pattern.Ramp || patch.Kind == pattern.RampDown:
			ends = []Row{{Want: patch.Want, End: "from"}, {Want: patch.To, End: "to"}}
		case patch.Absent != "":
		case patch.Kind == pattern.Packet || patch.Kind == pattern.Pulse:
			// What stands for trough and crest, for base and peak.
			ends = []Row{{Want: patch.Want, End: "from"}, {Want: patch.To, End: "to"}}
		}
		for _, row := range ends {
			row.Patch = patch
			row.Got, row.Note = emit(row.Want, patch, row.End == "")
			row.Error, row.Neutral = errorOf(plan.Wire, row.Want, row.Got)
			if patch.Absent != "" {
				row.Note = "a substitute: " + patch.Absent
			} else if like := r.like(row); like != "" && row.Note == "" {
				row.Note = "cannot be told from " + like
			}
			r.Rows = append(r.Rows, row)
		}
	}
	return r, nil
}

// like names the first patch that should be another level and is not; "" where
// there is none.
func (r *Report) like(row Row) string {
	const level = 1e-6
	for _, o := range r.Rows {
		if o.End != "" || row.End != "" || o.Patch.Absent != "" {
			continue
		}
		if distance(r.Wire, o.Got, row.Got) < level && distance(r.Wire, o.Want, row.Want) > level {
			return o.Patch.Name
		}
	}
	return ""
}

// meanOf returns the mean of the pixels that lie within an area: of a flat patch
// its one color, of a dithered one the level that the area has. ok is false
// where no pixel lies within it.
func meanOf(x *pixfmt.Indexed, colors []colorimetry.Signal, r *timing.Raster, area pattern.Patch) (s colorimetry.Signal, ok bool) {
	c := r.Comb(0)
	from := max(0, int(math.Ceil((area.X0-c.X0)/c.DX)))
	to := min(c.N, int(math.Floor((area.X1-c.X0)/c.DX))+1)
	rows := make(map[int32]int)
	for j, n := range x.Lines {
		if y := r.Span(j).Y; y >= area.Y0 && y <= area.Y1 {
			rows[n]++
		}
	}
	pixels, all, last := make([]int, len(colors)), 0, 0
	for n, times := range rows {
		for i := from; i < to; i++ {
			last = int(x.Rows[n][i])
			pixels[last] += times
			all += times
		}
	}
	switch {
	case all == 0:
		return s, false
	case pixels[last] == all:
		return colors[last], true
	}
	for i, n := range pixels {
		share := float64(n) / float64(all)
		s.Y += float64(share * colors[i].Y)
		s.CB += float64(share * colors[i].CB)
		s.CR += float64(share * colors[i].CR)
	}
	return s, true
}

// pixelOf returns the index in the middle of a patch; ok is false where no pixel
// lies within it.
func pixelOf(x *pixfmt.Indexed, r *timing.Raster, patch pattern.Patch) (index uint16, ok bool) {
	c := r.Comb(0)
	i := int(math.Round(((patch.X0+patch.X1)/2 - c.X0) / c.DX))
	if i < 0 || i >= c.N || c.At(i) < patch.X0 || c.At(i) > patch.X1 {
		return 0, false
	}
	y := (patch.Y0 + patch.Y1) / 2
	j := sort.Search(r.Height(), func(j int) bool { return r.Span(j).Y >= y })
	for _, k := range []int{j, j - 1} {
		if k >= 0 && k < r.Height() && r.Span(k).Y >= patch.Y0 && r.Span(k).Y <= patch.Y1 {
			return x.Rows[x.Lines[k]][i], true
		}
	}
	return 0, false
}
