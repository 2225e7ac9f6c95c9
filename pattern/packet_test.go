package pattern

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// A wave is a sine found in samples by least squares.
type wave struct {
	Frequency, Amplitude, Level float64
	Phase                       float64 // cycles at place 0, of a sine; 0 to 1
}

// fit finds the sine through samples y at places x by least squares in
// frequency, amplitude, phase and level, from a first guess of the frequency
// (the four-parameter fit of IEEE 1057: memory).
func fit(t testing.TB, x, y []float64, guess float64) wave {
	t.Helper()
	return fitAbout(t, x, y, guess, (x[0]+x[len(x)-1])/2, 4)
}

// fitAbout fits four parameters about a place, or five: the fifth is how fast
// the frequency changes, and Frequency and Phase are those at that place.
func fitAbout(t testing.TB, x, y []float64, guess, middle float64, parameters int) wave {
	t.Helper()
	require.Greater(t, len(x), parameters, "samples to fit")
	f, rate := guess, 0.0
	var a, b, c float64
	for step := range 20 {
		columns := min(3+step/4, parameters)
		m, v := mat.NewDense(len(x), columns, nil), mat.NewVecDense(len(x), y)
		for i, at := range x {
			u := at - middle
			sin, cos := math.Sincos(2 * math.Pi * (f*u + rate*u*u/2))
			m.Set(i, 0, sin)
			m.Set(i, 1, cos)
			m.Set(i, 2, 1)
			if columns > 3 {
				m.Set(i, 3, 2*math.Pi*u*(a*cos-b*sin))
			}
			if columns > 4 {
				m.Set(i, 4, math.Pi*u*u*(a*cos-b*sin))
			}
		}
		var p mat.VecDense
		require.NoError(t, p.SolveVec(m, v))
		a, b, c = p.AtVec(0), p.AtVec(1), p.AtVec(2)
		if columns > 3 {
			f += p.AtVec(3)
		}
		if columns > 4 {
			rate += p.AtVec(4)
		}
	}
	turns := math.Atan2(b, a)/2/math.Pi - f*middle
	return wave{f, math.Hypot(a, b), c, turns - math.Floor(turns)}
}

// apart is how far two phases are, in cycles, -1/2 to 1/2.
func apart(a, b float64) float64 { return a - b - math.Round(a-b) }

// small is a made-up raster of a device with hard edges: 256 samples at 2/5 of
// 13.5 MHz.
func small() *timing.Raster {
	return &timing.Raster{Name: "small", Scan: timing.Scan262, Clock: timing.R(5_400_000, 1), Start: timing.Int(58), Width: 256, Lines: timing.Lookup("240p").Lines}
}

// finer is r with as many samples for each of its own.
func finer(r *timing.Raster, times int64) *timing.Raster {
	f := *r
	f.Clock, f.Start, f.Width = r.Clock.Mul(timing.Int(times)), r.Start.Mul(timing.Int(times)), r.Width*int(times)
	return &f
}

// A shown scene and its luma.
type shown struct {
	*Scene
	View
	frame *frame.Frame
}

// onRaster lays a pattern out on a raster and samples frame n on a lattice
// that many times finer. The small raster has hard edges.
func onRaster(t testing.TB, spec string, r *timing.Raster, times int64, n int, plan colorimetry.Plan) shown {
	t.Helper()
	p, err := Parse(spec)
	require.NoError(t, err)
	edges := Shaped
	if r.Name == "small" {
		edges = Hard
	}
	v := NewView(r, colorimetry.YCbCr10, frame.S444, edges)
	v.Plan = plan
	s, err := p.Scene(v)
	require.NoError(t, err, "%s on %s", spec, r.Name)
	f, err := Sample(s, finer(r, times), frame.S444, n)
	require.NoError(t, err)
	return shown{s, v, f}
}

// us is the time of sample i after 0H, by the clock of the lattice.
func (s shown) us(i int) float64 { return s.frame.Raster.TimeOf(timing.Int(int64(i))).Float64() }

// sampleAt is the inverse, rounded up.
func (s shown) sampleAt(us float64) int {
	i := int(math.Ceil((us - s.us(0)) / (s.us(1) - s.us(0))))
	return min(max(i, 0), s.frame.Raster.Width)
}

// span returns luma of a row between two times: times and samples.
func (s shown) span(row int, from, to float64) (x, y []float64) {
	for i := s.sampleAt(from); i < s.frame.Raster.Width && s.us(i) <= to; i++ {
		x, y = append(x, s.us(i)), append(y, s.frame.Planes[0].Row(row)[i])
	}
	return x, y
}

// times returns the sides of a patch in microseconds after 0H, by the edges of
// the analog picture alone.
func (s shown) times(q Patch) (from, to float64) {
	system, picture := s.Shown.Scan.System, s.Shown.Picture()
	at := func(x float64) float64 {
		return system.Left.Float64() + (x-picture.X0)/(picture.X1-picture.X0)*system.Active().Float64()
	}
	return at(q.X0), at(q.X1)
}

// fitPatch fits the middle row of a packet over its full amplitude.
func (s shown) fitPatch(t testing.TB, q Patch) wave {
	t.Helper()
	from, to := s.times(q)
	x, y := s.span(rowNear(s.frame.Raster, (q.Y0+q.Y1)/2), from, to)
	return fit(t, x, y, q.Hz/1e6)
}

var fitRasters = []*timing.Raster{timing.Lookup("480i"), timing.Lookup("576i"), timing.Lookup("240p"), small()}

// hertzOf is what the name of a packet says, in MHz, by published subcarriers:
// SMPTE 170M-2004 clause 11.1, ITU-R BT.1700 (2005) Annex 1 Part B table 2.
func hertzOf(t *testing.T, name string, r *timing.Raster) float64 {
	t.Helper()
	fsc := 5.0 * 63 / 88
	if r.Scan.System == timing.System625 {
		fsc = 4.43361875
	}
	words := strings.Fields(strings.ReplaceAll(name, "fsc", strconv.FormatFloat(fsc, 'g', -1, 64)))
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err, name)
		return x
	}
	switch {
	case len(words) > 1 && words[0] != "upright" && words[0] != "slanted":
		return number(words[0])
	case len(words) == 2:
		return number(words[1])
	case words[2] == "-":
		return number(words[1]) - number(words[3])
	}
	return number(words[1]) + number(words[3])
}

// TestPacketFrequencies fits a sine to every packet over the part that is
// stated as being at full amplitude, on the samples of each raster: frequency
// within 0.1 % of its name, amplitude within 0.5 % of the levels stated. It
// would catch gates that reach into that part, places that are not times, and
// counted samples.
func TestPacketFrequencies(t *testing.T) {
	fitted := map[string]int{}
	for _, spec := range []string{"multiburst", "multiburst set=fcc", "multiburst set=0.7,1.3,2.2,5.1 amplitude=80", "cross-color", "tv-lines", "tv-lines most=300 amplitude=40"} {
		for _, r := range fitRasters {
			s := onRaster(t, spec, r, 1, 0, colorimetry.Plan{})
			for _, q := range s.Patches {
				if q.Kind != Packet {
					continue
				}
				assert.Equal(t, q.Absent != "", q.Hz/1e6 > s.limit(), "%s on %s: %s", spec, r.Name, q.Name)
				if q.Absent != "" {
					assert.Equal(t, q.Want, q.To, "%s on %s: %s", spec, r.Name, q.Name)
					x, y := s.span(rowNear(r, (q.Y0+q.Y1)/2), 0, 64)
					from, to := s.times(q)
					for i := range x {
						if x[i] > from && x[i] < to {
							require.Equal(t, q.Want.Y, y[i], "%s on %s: %s leaves its level", spec, r.Name, q.Name)
						}
					}
					continue
				}
				var want float64
				if strings.HasPrefix(spec, "tv-lines") {
					lines, _ := strconv.Atoi(strings.Fields(q.Name)[0])
					// TV lines: twice the cycles in 3/4 of the active line (common practice).
					want = float64(lines) * 4 / 3 / 2 / r.Scan.System.Active().Float64()
				} else {
					want = hertzOf(t, q.Name, r)
				}
				w := s.fitPatch(t, q)
				assert.InEpsilon(t, want, w.Frequency, 0.001, "%s on %s: %s, MHz", spec, r.Name, q.Name)
				assert.InEpsilon(t, (q.To.Y-q.Want.Y)/2, w.Amplitude, 0.005, "%s on %s: %s, amplitude", spec, r.Name, q.Name)
				assert.InDelta(t, (q.To.Y+q.Want.Y)/2, w.Level, 0.002, "%s on %s: %s, level", spec, r.Name, q.Name)
				fitted[spec]++
			}
		}
	}
	for spec, n := range fitted {
		assert.Greater(t, n, 8, spec)
	}
	assert.Len(t, fitted, 6)
}

// TestPacketGate: the envelope is at half its height at both ends, outside of
// the gates there is nothing at all, and between them the sine is itself.
func TestPacketGate(t *testing.T) {
	p := packet{X0: 0.1, X1: 0.3, Cycles: 50, Peak: 0.4, Gate: 0.008}
	assert.InDelta(t, 0.5, p.gate(0.1), 1e-12)
	assert.InDelta(t, 0.5, p.gate(0.3), 1e-12)
	c := timing.Comb{X0: 0, DX: 0.0001, N: 4000}
	row := make([]float64, c.N)
	p.add(row, c)
	for i, y := range row {
		switch x := c.At(i); {
		case x < 0.0959 || x > 0.3041:
			require.Zero(t, y, "outside, at %v", x)
		case x > 0.1041 && x < 0.2959:
			require.InDelta(t, 0.4*math.Sin(2*math.Pi*50*(x-0.1)), y, 1e-12, "inside, at %v", x)
		}
	}
	p.Gate = 0
	fill(row, 0)
	p.add(row, c)
	assert.Zero(t, row[999])
	assert.InDelta(t, 0.4*math.Sin(2*math.Pi*50*0.0001), row[1001], 1e-12)
	assert.Zero(t, row[3001])
}

// TestTooFine: what a message says of a packet beyond the raster.
func TestTooFine(t *testing.T) {
	s := onRaster(t, "multiburst", timing.Lookup("576i"), 1, 0, colorimetry.Plan{})
	q := patch(t, s.Scene, "5.8 MHz")
	assert.Equal(t, "above 5.74 MHz, 0.85 of half the clock of 13.5 MHz", q.Absent)
	assert.Equal(t, "a raster with a faster clock holds it", q.Way)
	s = onRaster(t, "multiburst", small(), 1, 0, colorimetry.Plan{})
	assert.Equal(t, "above 2.70 MHz, half the clock of 5.4 MHz", patch(t, s.Scene, "3 MHz").Absent)
	// Half the clock itself could fall on the zeros of the sine.
	s = onRaster(t, "multiburst set=2.7,2.69,2.704", small(), 1, 0, colorimetry.Plan{})
	assert.Equal(t, "not below 2.70 MHz, half the clock of 5.4 MHz", patch(t, s.Scene, "2.7 MHz").Absent)
	assert.Equal(t, "above 2.7000 MHz, half the clock of 5.4 MHz", patch(t, s.Scene, "2.704 MHz").Absent, "where two decimals would be the same")
	assert.Empty(t, patch(t, s.Scene, "2.69 MHz").Absent)
}
