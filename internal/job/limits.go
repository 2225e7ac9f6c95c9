package job

import (
	"math"
	"slices"
)

// The keys of the tolerances that every plan has.
const (
	LimitWhiteLuminance      = "white-luminance"
	LimitWhitePoint          = "white-point"
	LimitGrayTracking        = "gray-tracking"
	LimitBlack               = "black"
	LimitContrast            = "contrast"
	LimitGamma               = "gamma"
	LimitUniformityLuminance = "uniformity-luminance"
	LimitUniformityColor     = "uniformity-color"
	LimitConvergenceCenter   = "convergence-center"
	LimitConvergenceEdge     = "convergence-edge"
	LimitConvergenceMM       = "convergence-mm"
	LimitGeometryCenter      = "geometry-center"
	LimitGeometryEdge        = "geometry-edge"
	LimitLinearity           = "linearity"
	LimitCentering           = "centering"
	LimitOverscanSpread      = "overscan-spread"
	LimitChromaGain          = "chroma-gain"
	LimitChromaPhase         = "chroma-phase"
	LimitPeaking             = "peaking"
	LimitStreaking           = "streaking"
	LimitRegulation          = "regulation"
	LimitPurityGrade         = "purity-grade"
	LimitFocusGrade          = "focus-grade"
)

// A limitRow is a tolerance of the three classes, grade 1 first. Of a quantity
// with a sign both bounds stand; of a distance or a size the upper one alone.
type limitRow struct {
	key, name, unit string
	min, max        [3]float64 // NaN: none
	source          [3]string
}

// builtinLimits returns the tolerances in order of work. Where the document has
// a figure for one class only, the others are wider by common practice and say
// so.
func builtinLimits() []limitRow {
	none := [3]float64{math.NaN(), math.NaN(), math.NaN()}
	most := func(a, b, c float64) [3]float64 { return [3]float64{a, b, c} }
	least := most
	minus := func(m [3]float64) [3]float64 { return [3]float64{-m[0], -m[1], -m[2]} }
	same := func(s string) [3]string { return [3]string{s, s, s} }
	// wider is for figures of grade 1 alone.
	wider := func(s string) [3]string {
		w := "common practice, wider than grade 1: " + s
		return [3]string{s, w, w}
	}
	const (
		common = "common practice"
		ebu    = "EBU Tech 3320 v3 clause "
		height = "% of picture height"
	)
	chroma, phase := most(1, 2, 3), most(.5, 1, 2)
	linear, center, peaking := most(1, 2, 3), most(1, 1.5, 2), most(1, 1.5, 2)
	return []limitRow{
		{LimitPurityGrade, "Purity, grade of the worst zone", "", least(5, 4, 3), none,
			same("common practice, on the impairment scale of ITU-R BT.500 from memory: 5 imperceptible, 1 very annoying")},
		{LimitConvergenceCenter, "Misconvergence in the central circle", height, none, most(.4, .6, .8),
			wider("EBU Tech 3263 from memory, low confidence")},
		{LimitConvergenceEdge, "Misconvergence outside the central circle", height, none, most(.8, 1.2, 1.6),
			wider("EBU Tech 3263 from memory, low confidence")},
		// The finding is stricter than the percentages above: on the tube that it
		// was made with 0.4 % are some 0.8 mm.
		{LimitConvergenceMM, "Misconvergence that eyes accept", "mm", none, most(.3, .6, 1),
			wider("Displays 1984, abstract of a study on reactions to misconvergence: 0.3 mm is accepted on a 355 mm tube with a spot of 0.8 mm, better than 0.2 mm wanted over most of the screen")},
		{LimitGeometryCenter, "Geometry in the central circle", height, none, most(1, 1.5, 2), wider("from memory, low confidence")},
		{LimitGeometryEdge, "Geometry outside the central circle", height, none, most(2, 3, 4), wider("from memory, low confidence")},
		{LimitLinearity, "Linearity", height, minus(linear), linear, same(common)},
		{LimitCentering, "Centering", height, minus(center), center, same(common)},
		{LimitOverscanSpread, "Overscan, spread between the sides", "%", none, most(1, 2, 3), same(common)},
		{LimitFocusGrade, "Focus, grade of the worst zone", "", least(4, 4, 3), none,
			same("common practice, on the impairment scale of ITU-R BT.500 from memory: 5 imperceptible, 1 very annoying")},
		{LimitBlack, "Black, full screen", "cd/m2", none, most(.05, .4, .7), same(ebu + "5.2")},
		{LimitWhiteLuminance, "White, luminance", "cd/m2", least(70, 70, 70), most(100, 200, 250), [3]string{
			ebu + "5.1: adjustable from 70 to 100 at least; that 100 is also the upper bound is common practice", ebu + "5.1", ebu + "5.1"}},
		// 70 cd/m2 over the black of the class; grade 1 so is the document's own.
		{LimitContrast, "Contrast, full screen", ":1", least(1400, 175, 100), none, [3]string{
			ebu + "5.3: 2000:1 at 100 cd/m2, 1400:1 at 70",
			"computed: 70 cd/m2 over the black of " + ebu + "5.2", "computed: 70 cd/m2 over the black of " + ebu + "5.2"}},
		{LimitGamma, "Gamma, 10 to 90 % of the signal", "", least(2.3, 2.25, 2.2), most(2.5, 2.55, 2.6),
			wider(ebu + "5.4: 2.4 within 0.10; ITU-R BT.470-6 assumes 2.2 for system M and 2.8 for 625 lines, which tubes do not have")},
		{LimitWhitePoint, "White point, distance from the target", "du*v*", none, most(1.3, 4, 4), same(ebu + "5.7")},
		{LimitGrayTracking, "Gray tracking from 1 cd/m2 up, distance from the set's own white", "du*v*", none, most(.5, 1, 1.5), same(ebu + "5.5")},
		{LimitUniformityLuminance, "Luminance of the darkest zone", "% of the middle", least(80, 70, 60), none, wider(ebu + "5.14, picture tubes")},
		{LimitUniformityColor, "Color of the farthest zone, distance from the middle", "du*v*", none, most(2.6, 4, 6),
			wider(ebu + "5.14, picture tubes; the corrigendum of v4.1 has 1.3")},
		{LimitChromaGain, "Chroma gain, error", "%", minus(chroma), chroma, same(common)},
		{LimitChromaPhase, "Chroma phase, error", "degrees", minus(phase), phase, same(common)},
		{LimitPeaking, "Response of detail", "dB", minus(peaking), peaking, wider("memory")},
		{LimitStreaking, "Streaking", "%", none, most(.5, 1, 2), same(ebu + "5.16")},
		{LimitRegulation, "Picture size, change with beam current", "%", none, most(1, 1.5, 2), same(common)},
	}
}

// LimitKeys lists the keys of the built-in tolerances in order of work.
func LimitKeys() (keys []string) {
	for _, r := range builtinLimits() {
		keys = append(keys, r.key)
	}
	return keys
}

// limitsOf returns the tolerances of a class.
func limitsOf(class Class) (list []Limit) {
	n := max(0, slices.Index(Classes(), string(class)))
	bound := func(v float64) *float64 {
		if math.IsNaN(v) {
			return nil
		}
		return &v
	}
	for _, r := range builtinLimits() {
		list = append(list, Limit{Key: r.key, Name: r.name, Unit: r.unit, Min: bound(r.min[n]), Max: bound(r.max[n]), Source: r.source[n]})
	}
	return list
}

// aim holds white to the luminance that the set is meant for, where it has one
// and the user has no tolerance of their own for it.
func (p *Plan) aim(luminance float64) {
	l := p.Limit(LimitWhiteLuminance)
	if luminance <= 0 || l.Own {
		return
	}
	// To a tenth: a meter tells no more, and 1.1 times 90 is no round number in binary.
	low, high := math.Round(9*luminance)/10, math.Round(11*luminance)/10
	l.Min, l.Max = &low, &high
	l.Source = "common practice: within 10 % of the luminance that the set's description asks for"
}
