package pattern

import (
	"fmt"
	"strconv"

	"backporch/colorimetry"
	"backporch/timing"
)

// LinePairs is areas of stripes of 1, 2, 3 and 4 samples and of as many rows.
// It is laid out in the samples and rows of the shown raster, not in the
// analog picture.
type LinePairs struct {
	Dark, Light float64 // per cent of white
}

// widestStripe is how many samples or rows the widest stripes have.
const widestStripe = 4

// flicker is the caution for pictures that alternate from field to field.
const flicker = "Parts of this picture flicker at the frame rate on an interlaced set: not for people with photosensitive epilepsy, and take it off when you have read it."

// Scene implements Pattern.
func (p *LinePairs) Scene(v View) (*Scene, error) {
	l := v.sampleGrid()
	const leastSamples, leastRows = 160, 96
	if l.n < leastSamples || l.rows < leastRows {
		return nil, fmt.Errorf("line-pairs: raster %s has %d by %d samples; it needs %d by %d", v.Shown.Name, l.n, l.rows, leastSamples, leastRows)
	}
	if p.Dark >= p.Light {
		return nil, fmt.Errorf("dark: %v %% is not darker than %v %%; use less than the level of light", p.Dark, p.Light)
	}
	dark, light := p.Dark/100, p.Light/100
	f := fieldsOfStripes{sampleGrid: l, ground: (dark + light) / 2, dark: dark, lit: light}
	// Two rows of areas, each with a strip of numerals above it. All rows count
	// in fours, so that 4:2:0 and both fields stay clean.
	fours := func(n int) int { return n / 4 * 4 }
	strip := fours((numeralLines+4)*v.Shown.Scan.Fields + 3)
	gap := fours(l.rows / 24)
	high := fours((l.rows - 2*strip - 3*gap) / 2)
	slot := l.n / widestStripe
	side := max(2, slot/12)

	var tiles []tile
	var patches []Patch
	for q, rows := range []bool{false, true} {
		head := gap + q*(strip+high+gap)
		for k := range widestStripe {
			wide := k + 1
			n := slot - 2*side
			n -= n % (2 * wide) // whole pairs
			from := k*slot + (slot-n)/2
			a := stripeArea{from, from + n, head + strip, head + strip + high - high%(2*wide), wide, rows}
			f.areas = append(f.areas, a)
			patches = append(patches, f.patch(a, pairsName(wide, rows), v.Shown))
			tiles = append(tiles, v.numeralAbout(strconv.Itoa(wide), (l.left(from)+l.left(from+n))/2, l.top(head)+2*v.fieldLine(), black)...)
		}
	}
	bands := v.tileBands(colorimetry.Gray(f.ground), tiles)
	for q := range 2 {
		a := f.areas[q*widestStripe]
		bottom := l.top(a.top + high)
		bands = splice(bands, l.top(a.top), bottom, Band{Bottom: bottom, Paint: f.paint})
	}
	s := still(bands, patches...)
	for q := range 2 {
		top := f.areas[q*widestStripe].top
		s.keep = append(s.keep, timing.Extent{X0: -endless, Y0: l.top(top - strip), X1: endless, Y1: l.top(top)})
	}
	s.Notes = []string{"Stripes of one sample are the finest that the raster holds, " + mhzName(rounded(v.Shown.Nyquist().Float64())) + ": players with a filter behind the converter pass them weakly or not at all."}
	if v.Shown.Scan.Interlaced() {
		s.Notes = append(s.Notes, "Pairs of one row put all light into one field and flicker at the frame rate; those of three rows beat against the fields. "+flicker)
	}
	return s, nil
}

func pairsName(wide int, rows bool) string {
	what := "sample"
	if rows {
		what = "line"
	}
	return fmt.Sprintf("%d-%s pairs", wide, what)
}

// rounded returns a number of MHz to kHz.
func rounded(mhz float64) float64 {
	x, _ := strconv.ParseFloat(strconv.FormatFloat(mhz, 'f', 3, 64), 64)
	return x
}

var linePairsEntries = []Entry{{
	Name: "line-pairs", Group: GroupDetail,
	Use:     "what survives of the finest detail: columns of 1 to 4 samples and rows of 1 to 4 lines, black and white; sharpness and scaling",
	Source:  "own design",
	Example: "backporch render line-pairs --dark 20 --light 80 -o pairs.png",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &LinePairs{Dark: 0, Light: 100}
		return p, []*Option{
			number("dark", &p.Dark, 0, 99, "per cent", "level of the dark stripes, of white"),
			number("light", &p.Light, 1, 100, "per cent", "level of the light stripes, of white"),
		}
	},
}}
