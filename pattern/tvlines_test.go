package pattern

import (
	"fmt"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTVLinesTable holds the groups to tvl.csv (calculated from the active
// lines of SMPTE 170M-2004 and ITU-R BT.470-6 by other means), by a fit of the
// samples; what the table says is beyond 5.75 MHz (memory) is absent.
func TestTVLinesTable(t *testing.T) {
	fitted, absent := 0, 0
	for raster, system := range map[string]string{"480i": "525 SMPTE170M", "240p": "525 SMPTE170M", "576i": "625 "} {
		s := onRaster(t, "tv-lines most=500", timing.Lookup(raster), 1, 0, colorimetry.Plan{})
		for _, r := range testtable.Table(t, "tvl.csv") {
			lines := r.Int(t, "TVL_per_picture_height")
			if !strings.HasPrefix(r.Text(t, "system"), system) || lines > 500 {
				continue
			}
			q := patch(t, s.Scene, fmt.Sprintf("%d TV lines across", lines))
			assert.InDelta(t, r.Float(t, "MHz"), q.Hz/1e6, 6e-5, "%s: %d TV lines", raster, lines)
			assert.Equal(t, r.Text(t, "inside_BT601_passband_5.75MHz") == "no", q.Absent != "", "%s: %d TV lines", raster, lines)
			if q.Absent != "" {
				absent++
				continue
			}
			fitted++
			assert.InEpsilon(t, r.Float(t, "MHz"), s.fitPatch(t, q).Frequency, 0.001, "%s: %d TV lines", raster, lines)
		}
	}
	assert.Equal(t, 11, fitted)
	assert.Equal(t, 4, absent)
}

// TestTVLinesWide: 300 TV lines of a 16:9 screen are 4/3 as fine in MHz as those
// of a 4:3 one, 3.7839 of 480i by tvl.csv.
func TestTVLinesWide(t *testing.T) {
	v := anyView(t)
	v.Aspect = Aspect16x9
	s, err := (&TVLines{Amplitude: 100}).Scene(v)
	require.NoError(t, err)
	assert.InEpsilon(t, 3.7839e6*4/3, patch(t, s, "300 TV lines across").Hz, 2e-5)
}

// TestTVLinesDown fits lying groups along a column: half their number of
// cycles in a picture height. A column of an interlaced picture has both
// fields.
func TestTVLinesDown(t *testing.T) {
	fitted := 0
	for _, r := range fitRasters {
		s := onRaster(t, "tv-lines amplitude=80", r, 1, 0, colorimetry.Plan{})
		for _, q := range s.Patches {
			lines := 0.0
			if n, _ := fmt.Sscanf(q.Name, "%f TV lines down", &lines); n == 0 || !strings.HasSuffix(q.Name, "down") {
				continue
			}
			from, to := s.times(q)
			i := s.sampleAt((from + to) / 2)
			var x, y []float64
			for j := range r.Height() {
				if at := r.Span(j).Y; at > q.Y0 && at < q.Y1 {
					x, y = append(x, at), append(y, s.frame.Planes[0].Row(j)[i])
				}
			}
			if r.Name == "small" && lines > 240 {
				continue
			}
			w := fit(t, x, y, lines/2)
			assert.InEpsilon(t, lines/2, w.Frequency, 0.001, "%s on %s", q.Name, r.Name)
			assert.InEpsilon(t, 0.4, w.Amplitude, 0.005, "%s on %s", q.Name, r.Name)
			fitted++
		}
	}
	assert.GreaterOrEqual(t, fitted, 20)
}

// TestTVLinesWedges fits upright wedges on the rows of their marks, and finds
// that lying ones have the frequency of their marks too.
func TestTVLinesWedges(t *testing.T) {
	v := anyView(t)
	w, _ := v.uprightWedge(0, 2, []int{100, 150, 200}, [2]float64{-0.3, 0.1}, 0.5, 0.5)
	c := timing.Comb{X0: -0.7, DX: 0.0005, N: 2800}
	for y, lines := range map[float64]float64{-0.3: 100, -0.1: 150, 0.1: 200} {
		row := make([]float64, c.N)
		w.add(row, c, y)
		var x, z []float64
		for i, l := range row {
			half := w.Cycles/lines - w.Gate/2
			if at := c.At(i); at > w.X-half && at < w.X+half {
				x, z = append(x, at), append(z, l)
			}
		}
		got := fit(t, x, z, lines/2)
		assert.InEpsilon(t, lines/2, got.Frequency, 1e-6, "%v TV lines", lines)
		assert.InEpsilon(t, 0.5, got.Amplitude, 1e-6, "%v TV lines", lines)
	}
	l, _ := v.lyingWedge(1, 2, []int{100, 200}, [2]float64{0, 0.4}, 0.5)
	for part, lines := range map[float64]float64{0: 100, 0.5: 150, 1: 200} {
		at := timing.Comb{X0: blend(l.X0, l.X1, part), DX: 1, N: 1}
		if part == 0 {
			at.X0 += l.Gate / 2
		} else if part == 1 {
			at.X0 -= l.Gate / 2
		}
		var x, z []float64
		for i := range 400 {
			y := l.Y + (float64(i)-200)*0.0005
			if f := lines / 2; y-l.Y > l.Cycles/f/2-l.Rim || l.Y-y > l.Cycles/f/2-l.Rim {
				continue
			}
			one := []float64{0}
			l.add(one, at, y)
			x, z = append(x, y), append(z, one[0])
		}
		assert.InEpsilon(t, lines/2, fit(t, x, z, lines/2).Frequency, 0.02, "%v TV lines: the mark is half a gate away", lines)
	}
}

// TestTVLinesAbsent: a group beyond the rows says so.
func TestTVLinesAbsent(t *testing.T) {
	s := onRaster(t, "tv-lines most=400", timing.Lookup("240p"), 1, 0, colorimetry.Plan{})
	q := patch(t, s.Scene, "250 TV lines down")
	assert.Equal(t, "more than the 207 TV lines that 240 rows hold", q.Absent)
	assert.Equal(t, "a raster with more rows holds it", q.Way)
	_, err := (&TVLines{Most: 50, Amplitude: 100}).Scene(anyView(t))
	assert.EqualError(t, err, "most: 50 TV lines are less than the coarsest group; use 100 to 1000, or 0")
}
