package composite

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// barFrame has the bars of a 75 % set side by side on every row, with hard
// edges: uniform from top to bottom.
func barFrame(r *timing.Raster) *frame.Frame {
	f := flatFrame(r, 0, 0, 0)
	for i := range r.Width {
		k := i * 8 / r.Width
		bit := func(b int) float64 { return 0.75 * float64(1-k>>b&1) }
		s := colorimetry.FromRGB(bit(1), bit(2), bit(0))
		f.Planes[0].Rows[0][i], f.Planes[1].Rows[0][i], f.Planes[2].Rows[0][i] = s.Y, s.CB, s.CR
	}
	return f
}

// TestRoundTrip: flat patches away from edges come back within 0.2 IRE, 0.5 %
// of chroma and 0.2 degree, from Y/C and from combed composite.
func TestRoundTrip(t *testing.T) {
	tests := []struct {
		wire string
		scan *timing.Scan
		sep  Separation
	}{
		{"yc-m", timing.Scan525i, Notch},
		{"yc-j", timing.Scan262c227_33, Notch},
		{"yc-pal", timing.Scan625i, Notch},
		{"composite-m", timing.Scan525i, Comb2},
		{"composite-m", timing.Scan525i, Comb3},
		{"composite-m", timing.Scan525i, Notch},
		{"composite-j", timing.Scan262, Comb3},
		{"composite-j", timing.Scan263, Comb2},
		{"composite-j", timing.Scan262c228, Notch},
		{"composite-j", timing.Scan262c227_33, Notch},
		{"pal", timing.Scan625i, Comb2},
		{"pal", timing.Scan625i, Comb3},
		{"pal", timing.Scan625i, Notch},
		{"pal", timing.Scan312, Comb3},
		{"pal", timing.Scan313, Comb2},
		{"component-n10", timing.Scan525i, Notch},
		{"component-betacam", timing.Scan525i, Notch},
		{"rgb-700", timing.Scan625i, Notch},
	}
	for _, tt := range tests {
		t.Run(tt.wire+" "+tt.scan.Name+" "+[]string{"notch", "comb2", "comb3"}[tt.sep], func(t *testing.T) {
			wire := Lookup(tt.wire)
			e, err := NewEncoder(wire, tt.scan, Standard)
			require.NoError(t, err)
			w, err := e.Encode(1, 2, func(r *timing.Raster, _ int) (*frame.Frame, error) { return barFrame(r), nil })
			require.NoError(t, err)
			for n := range 2 {
				d := Decoder{Family: wire.Family, Separation: tt.sep}
				f, err := d.Decode(w, n)
				require.NoError(t, err)
				want := barFrame(f.Raster)
				checked := 0
				for j, l := range f.Raster.Lines {
					if l.Number == 263 || l.Number == 283 || l.Number == 23 || l.Number == 623 {
						continue // half lines
					}
					for k := range 8 {
						i := (2*k + 1) * f.Raster.Width / 16
						y, cb, cr := f.Planes[0].Row(j)[i], f.Planes[1].Row(j)[i], f.Planes[2].Row(j)[i]
						wy, wb, wr := want.Planes[0].Row(0)[i], want.Planes[1].Row(0)[i], want.Planes[2].Row(0)[i]
						require.InDelta(t, wy, y, 0.002, "line %d bar %d luma", l.Number, k)
						amplitude := math.Hypot(wb, wr)
						if amplitude < 1e-9 {
							require.InDelta(t, 0, math.Hypot(cb, cr), 0.001, "line %d bar %d chroma", l.Number, k)
							continue
						}
						require.InDelta(t, 1, math.Hypot(cb, cr)/amplitude, 0.005, "line %d bar %d chroma", l.Number, k)
						turn := math.Atan2(cr, cb) - math.Atan2(wr, wb)
						require.InDelta(t, 0, math.Remainder(turn, 2*math.Pi)*180/math.Pi, 0.2, "line %d bar %d phase", l.Number, k)
						checked++
					}
				}
				assert.Greater(t, checked, 1000)
			}
		})
	}
}

// decodeFlat encodes and decodes a field of one color and returns it from the
// middle of the picture.
func decodeFlat(t *testing.T, wire string, s *timing.Scan, o Options, d Decoder, c colorimetry.Signal, line int) colorimetry.Signal {
	t.Helper()
	w := encode(t, wire, s, o, 1, c.Y, c.CB, c.CR)
	f, err := d.Decode(w, 0)
	require.NoError(t, err)
	for j, l := range f.Raster.Lines {
		if l.Number == line {
			i := f.Raster.Width / 2
			return colorimetry.Signal{Y: f.Planes[0].Row(j)[i], CB: f.Planes[1].Row(j)[i], CR: f.Planes[2].Row(j)[i]}
		}
	}
	t.Fatalf("no line %d", line)
	return colorimetry.Signal{}
}

func TestDecoderControls(t *testing.T) {
	red := colorimetry.FromRGB(0.75, 0, 0)
	m, j, pal := colorimetry.CompositeM, colorimetry.CompositeJ, colorimetry.PAL
	near := func(t *testing.T, want, got colorimetry.Signal) {
		t.Helper()
		assert.InDelta(t, want.Y, got.Y, 2e-4, "luma")
		assert.InDelta(t, want.CB, got.CB, 2e-4, "CB")
		assert.InDelta(t, want.CR, got.CR, 2e-4, "CR")
	}
	scaled := func(g float64) colorimetry.Signal {
		return colorimetry.Signal{Y: red.Y, CB: g * red.CB, CR: g * red.CR}
	}

	t.Run("setup of the source on a set without", func(t *testing.T) { // SMPTE 170M clause 10: 0.925 and 7.5
		got := decodeFlat(t, "composite-m", timing.Scan525i, Standard, Decoder{Family: j}, red, 100)
		near(t, colorimetry.Signal{Y: 0.075 + 0.925*red.Y, CB: 0.925 * red.CB, CR: 0.925 * red.CR}, got)
	})
	t.Run("gain", func(t *testing.T) {
		near(t, scaled(1.1), decodeFlat(t, "composite-m", timing.Scan525i, Standard, Decoder{Family: m, Gain: 1.1}, red, 100))
	})
	t.Run("half burst and automatic control", func(t *testing.T) {
		o := Options{Burst: 0.5, ChromaGain: 0.5}
		near(t, scaled(1), decodeFlat(t, "composite-m", timing.Scan525i, o, Decoder{Family: m, ACC: true}, red, 100))
		near(t, scaled(0.5), decodeFlat(t, "composite-m", timing.Scan525i, o, Decoder{Family: m}, red, 100))
		o.ChromaGain = 1
		near(t, scaled(2), decodeFlat(t, "pal", timing.Scan625i, o, Decoder{Family: pal, ACC: true}, red, 100))
	})
	t.Run("no burst, no color", func(t *testing.T) {
		near(t, scaled(0), decodeFlat(t, "yc-m", timing.Scan525i, Options{ChromaGain: 1}, Decoder{Family: m}, red, 100))
		// A notch leaves no subcarrier in the luma even then.
		near(t, scaled(0), decodeFlat(t, "composite-m", timing.Scan525i, Options{ChromaGain: 1}, Decoder{Family: m}, red, 100))
	})
	t.Run("phase", func(t *testing.T) {
		sin, cos := math.Sincos(10 * math.Pi / 180)
		// In U and V: the factors of the two axes differ (SMPTE 170M A.3).
		k := 0.877283 * 1.402 / (0.492111 * 1.772)
		turned := func(sign float64) colorimetry.Signal {
			return colorimetry.Signal{Y: red.Y, CB: red.CB*cos - sign*k*red.CR*sin, CR: red.CR*cos + sign*red.CB*sin/k}
		}
		near(t, turned(1), decodeFlat(t, "composite-m", timing.Scan525i, Standard, Decoder{Family: m, Phase: 10}, red, 100))
		// On 625 lines the error alternates, and a delay line turns it into a loss
		// of cos 10 degrees.
		k = 0.877 * 1.402 / (0.493 * 1.772)
		near(t, turned(1), decodeFlat(t, "pal", timing.Scan625i, Standard, Decoder{Family: pal, Phase: 10}, red, 101))
		near(t, turned(-1), decodeFlat(t, "pal", timing.Scan625i, Standard, Decoder{Family: pal, Phase: 10}, red, 100))
		near(t, scaled(cos), decodeFlat(t, "pal", timing.Scan625i, Standard, Decoder{Family: pal, Phase: 10, DelayLine: true}, red, 100))
	})
}

// TestCombRefused: 228 and 227 1/3 cycles leave the subcarrier of the next
// line where it was, or a third of a cycle off.
func TestCombRefused(t *testing.T) {
	for _, s := range []*timing.Scan{timing.Scan262c228, timing.Scan262c227_33} {
		w := encode(t, "composite-m", s, Standard, 1, 0.5, 0, 0)
		_, err := (&Decoder{Family: colorimetry.CompositeM, Separation: Comb2}).Decode(w, 0)
		require.ErrorContains(t, err, "use the notch")
	}
	w := encode(t, "composite-m", timing.Scan525i, Standard, 1, 0.5, 0, 0)
	_, err := (&Decoder{Family: colorimetry.LookupFamily("component-n10")}).Decode(w, 0)
	require.ErrorContains(t, err, "no input for composite-m")
}

// TestBandwidth: luma is half down at the bandwidth asked for.
func TestBandwidth(t *testing.T) {
	e, err := NewEncoder(Lookup("yc-m"), timing.Scan525i, Standard)
	require.NoError(t, err)
	const lines = 300
	hz := timing.System525.Frequency(lines, timing.R(4, 3)) * 1e6
	w, err := e.Encode(0, 1, func(r *timing.Raster, _ int) (*frame.Frame, error) {
		f := flatFrame(r, 0, 0, 0)
		for i := range r.Width {
			f.Planes[0].Rows[0][i] = 0.5 + 0.4*math.Sin(2*math.Pi*hz/r.Clock.Float64()*float64(i))
		}
		return f, nil
	})
	require.NoError(t, err)
	f, err := (&Decoder{Family: colorimetry.CompositeM, TVLines: lines}).Decode(w, 0)
	require.NoError(t, err)
	row := f.Planes[0].Row(100)[200:600]
	low, high := 1.0, 0.0
	for _, v := range row {
		low, high = min(low, v), max(high, v)
	}
	assert.InDelta(t, 0.4, high-low, 0.02, "0.8 peak to peak, half down")
}

func BenchmarkDecode(b *testing.B) {
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
	}{{"composite-m", timing.Scan525i}, {"pal", timing.Scan625i}, {"yc-m", timing.Scan525i}} {
		b.Run(tt.wire+"/bars", func(b *testing.B) {
			e, err := NewEncoder(Lookup(tt.wire), tt.scan, Standard)
			require.NoError(b, err)
			w, err := e.Encode(0, 1, func(r *timing.Raster, _ int) (*frame.Frame, error) { return barFrame(r), nil })
			require.NoError(b, err)
			d := Decoder{Family: w.Wire.Family, Separation: Comb3}
			for b.Loop() {
				if _, err := d.Decode(w, 0); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
