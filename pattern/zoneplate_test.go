package pattern

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestZonePlateFrequency fits the wave a cycle to either side of every named
// place: along the middle row at whole MHz, and down the middle column at
// hundreds of TV lines, which are twice the cycles in a picture height.
func TestZonePlateFrequency(t *testing.T) {
	right, down := 0, 0
	for _, spec := range []string{"zone-plate", "zone-plate kind=horizontal amplitude=60", "zone-plate kind=vertical", "zone-plate end=3"} {
		for _, r := range fitRasters {
			s := onRaster(t, spec, r, 16, 0, colorimetry.Plan{})
			for _, q := range s.Patches {
				number, err := strconv.ParseFloat(strings.Fields(q.Name)[0], 64)
				require.NoError(t, err)
				amplitude := (q.To.Y - q.Want.Y) / 2
				if q.Kind == Packet {
					from, to := s.times(q)
					w := s.about(t, rowNear(r, 0), (from+to)/2, number)
					assert.InEpsilon(t, number, w.Frequency, 0.001, "%s on %s: %s", spec, r.Name, q.Name)
					assert.InEpsilon(t, amplitude, w.Amplitude, 0.005, "%s on %s: %s", spec, r.Name, q.Name)
					right++
					continue
				}
				i := s.sampleAt(s.middle().Float64())
				var x, y []float64
				for j := range r.Height() {
					if at := r.Span(j).Y; at > q.Y0 && at < q.Y1 {
						x, y = append(x, at), append(y, s.frame.Planes[0].Row(j)[i])
					}
				}
				if len(x) < 9 {
					continue // not enough rows to tell
				}
				// Patches end between rows: their middle is up to half a row off.
				assert.InEpsilon(t, number/2, fitAbout(t, x, y, number/2, (q.Y0+q.Y1)/2, 5).Frequency, 0.02, "%s on %s: %s", spec, r.Name, q.Name)
				down++
			}
		}
	}
	assert.Greater(t, right, 30)
	assert.Greater(t, down, 10)
}

// TestZonePlateChirp compares a row and a column with the phase itself: the
// cycles from the middle are half the frequency there times the distance.
func TestZonePlateChirp(t *testing.T) {
	s := onRaster(t, "zone-plate end=5", timing.Lookup("576i"), 1, 0, colorimetry.Plan{})
	e := s.Shown.Shown()
	// 5 MHz at the side that is further from the middle, in cycles a picture
	// height: a square sample at 14.75 MHz is 1/576 of it (common practice).
	rate := 5 * 576 / 14.75 / max(-e.X0, e.X1)
	c := s.frame.Raster.Comb(0)
	for _, j := range []int{0, 100, 287, 288, 400, 575} {
		y := s.frame.Raster.Span(j).Y
		for i, got := range s.frame.Planes[0].Row(j) {
			if x := c.At(i); x > e.X0 && x < e.X1 {
				want := 0.5 + 0.5*math.Cos(math.Pi*rate*(x*x+y*y))
				require.InDelta(t, want, got, 1e-9, "row %d sample %d", j, i)
			}
		}
	}
}

// TestZonePlateFades: nothing is finer than the limit: beyond it all is gray.
// 240 rows hold 206.55 TV lines (0.85 of a line a row), that is 103.3 cycles a
// picture height.
func TestZonePlateFades(t *testing.T) {
	s := onRaster(t, "zone-plate", timing.Lookup("240p"), 1, 0, colorimetry.Plan{})
	rate := 5.7375 * s.tubePerMHz() / max(-s.Shown.Shown().X0, s.Shown.Shown().X1)
	gray, full := 0, 0
	for j, row := range s.frame.Planes[0].Lines {
		f := rate * math.Abs(s.frame.Raster.Span(j).Y)
		low, high := 1.0, 0.0
		for _, y := range s.frame.Planes[0].Rows[row] {
			low, high = min(low, y), max(high, y)
		}
		switch limit := 0.85 * 243 / 2; {
		case f > 1.05*limit:
			assert.InDelta(t, 0, high-low, 1e-12, "row %d has %.1f cycles a picture height", j, f)
			gray++
		case f < limit:
			assert.InDelta(t, 1, high-low, 0.01, "row %d", j)
			full++
		}
	}
	assert.Greater(t, gray, 60)
	assert.Greater(t, full, 100)

	// Asked for more than the raster holds, it fades to both sides.
	s = onRaster(t, "zone-plate kind=horizontal end=12", timing.Lookup("480i"), 1, 0, colorimetry.Plan{})
	row := s.frame.Planes[0].Row(0)
	assert.Equal(t, 0.5, row[20])
	assert.Equal(t, 0.5, row[700])
}

// TestZonePlateRound: equal distances on the tube are equal phases, on both
// screens.
func TestZonePlateRound(t *testing.T) {
	for _, aspect := range []float64{Aspect4x3, Aspect16x9} {
		u := onTube(t, "zone-plate end=4", timing.Lookup("480i"), aspect)
		at := func(x, y float64) float64 {
			j := rowNear(u.r, y)
			i := int(math.Round((x/u.stretch - u.comb.X0) / u.comb.DX))
			want := math.Hypot(u.x(i), u.y(j))
			z, err := (&ZonePlate{Kind: "circular", End: 4, Amplitude: 100}).zone(u.view)
			require.NoError(t, err)
			return u.luma.Row(j)[i] - (0.5 + 0.5*math.Cos(math.Pi*z.Rate*want*want))
		}
		for k := range 40 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 20)
			assert.InDelta(t, 0, at(0.3*cos, 0.3*sin), 1e-9, "aspect %.2f, %d degrees", aspect, 9*k)
		}
	}
}

// TestZonePlateDrift: after its period the picture is the same; in between its
// phase goes on by field time: the newer field of a frame is half a frame's
// way ahead of the older one, and a crest moves outward.
func TestZonePlateDrift(t *testing.T) {
	for _, r := range []*timing.Raster{timing.Lookup("480i"), timing.Lookup("480i-dv"), timing.Lookup("576i"), timing.Lookup("240p")} {
		for _, frames := range []int{40, -25} {
			spec := fmt.Sprintf("zone-plate kind=horizontal end=4 drift=%d", frames)
			s := onRaster(t, spec, r, 1, 0, colorimetry.Plan{})
			assert.Equal(t, max(frames, -frames), s.Period)
			again, err := Sample(s.Scene, r, frame.S444, s.Period)
			require.NoError(t, err)
			still := onRaster(t, "zone-plate kind=horizontal end=4", r, 1, 0, colorimetry.Plan{})
			q := patch(t, still.Scene, "2 MHz to the right")
			from, to := s.times(q)
			reference := still.about(t, 100, (from+to)/2, 2)
			middle := (from + to) / 2
			for n := range 5 {
				f, err := Sample(s.Scene, r, frame.S444, n)
				require.NoError(t, err)
				moved := shown{s.Scene, s.View, f}
				for _, j := range []int{100, 101} {
					w := moved.about(t, j, middle, 2)
					fields := float64(r.Scan.Fields)
					time := float64(n) + float64(r.Lines[j].Field-1)/fields // in frames
					// A wave that goes outward has less phase at a place, later.
					want := -time / float64(frames)
					got := apart(w.Phase+w.Frequency*middle, reference.Phase+reference.Frequency*middle)
					assert.InDelta(t, 0, apart(got, want), 1e-4, "%s on %s: frame %d field %d", spec, r.Name, n, r.Lines[j].Field)
				}
			}
			for j := range r.Height() {
				for i, y := range s.frame.Planes[0].Row(j) {
					require.InDelta(t, y, again.Planes[0].Row(j)[i], 1e-9, "%s on %s: after its period", spec, r.Name)
				}
			}
		}
	}
	_, err := (&ZonePlate{Kind: "circular", Drift: -1, Amplitude: 100}).Scene(anyView(t))
	assert.EqualError(t, err, "drift: a cycle in one frame does not look like motion; use 2 frames or more, or 0 to stand still")
}

// BenchmarkZonePlate samples a frame of 480i, 4:2:2; bytes are those of its
// samples as float64.
func BenchmarkZonePlate(b *testing.B) {
	r := timing.Lookup("480i")
	for _, spec := range []string{"zone-plate", "zone-plate drift=50"} {
		b.Run(spec, func(b *testing.B) {
			p, err := Parse(spec)
			require.NoError(b, err)
			s, err := p.Scene(NewView(r, colorimetry.YCbCr10, frame.S422, Shaped))
			require.NoError(b, err)
			b.SetBytes(int64(8 * 2 * r.Width * r.Height()))
			b.ReportAllocs()
			for n := 0; b.Loop(); n++ {
				if _, err := Sample(s, r, frame.S422, n); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
