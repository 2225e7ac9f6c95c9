package device

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// withBits is a device of so many bits, on that output.
func withBits(t testing.TB, r, g, b int, output string) *Profile {
	t.Helper()
	p, err := Find("pixel-320")
	require.NoError(t, err)
	p.Color = Color{Bits: [3]int{r, g, b}}
	p.Outputs = families(output)
	return p
}

// slowNearest goes through every color of a device, one after the other, and
// works the distance out from the levels on the wire.
func slowNearest(p *Profile, s colorimetry.Signal) (least float64) {
	least = math.Inf(1)
	f := p.Outputs[0]
	level := func(channel, n int) float64 {
		if t := p.Color.Levels[channel]; t != nil {
			return t[n]
		}
		return float64(n) / float64(int(1)<<p.Color.Bits[channel]-1)
	}
	for r := range 1 << p.Color.Bits[0] {
		for g := range 1 << p.Color.Bits[1] {
			for b := range 1 << p.Color.Bits[2] {
				c := colorimetry.FromRGB(level(0, r), level(1, g), level(2, b))
				var d float64
				if f.Interface == colorimetry.ComponentRGB {
					r1, g1, b1 := f.RGB(c)
					r2, g2, b2 := f.RGB(s)
					d = math.Sqrt(math.Pow(float64(r1-r2), 2) + math.Pow(float64(g1-g2), 2) + math.Pow(float64(b1-b2), 2))
				} else {
					u1, v1 := f.Vector(c)
					u2, v2 := f.Vector(s)
					d = math.Sqrt(math.Pow(float64(f.Luma(c)-f.Luma(s)), 2) + math.Pow(float64(u1-u2), 2) + math.Pow(float64(v1-v2), 2))
				}
				least = min(least, d)
			}
		}
	}
	return least
}

// TestNearestIsExhaustive: the color found is as near as the best of all.
func TestNearestIsExhaustive(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, tt := range []struct {
		name    string
		bits    [3]int
		output  string
		samples int
	}{
		{"3:3:3 composite", [3]int{3, 3, 3}, "composite-j", 400},
		{"3:3:2 with setup", [3]int{3, 3, 2}, "composite-m", 400},
		{"4:4:4 PAL", [3]int{4, 4, 4}, "pal", 200},
		{"5:5:5 component", [3]int{5, 5, 5}, "component-n10", 16},
		{"5:6:5 composite", [3]int{5, 6, 5}, "composite-j", 8},
		{"6:6:6 composite", [3]int{6, 6, 6}, "composite-j", 2},
		{"1:1:1 RGB", [3]int{1, 1, 1}, "rgb-700", 100},
		{"5:5:5 RGB", [3]int{5, 5, 5}, "rgb-714", 8},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := withBits(t, tt.bits[0], tt.bits[1], tt.bits[2], tt.output)
			l := p.palette(p.Outputs[0])
			for i := range tt.samples {
				s := colorimetry.FromRGB(rnd.Float64(), rnd.Float64(), rnd.Float64())
				if i%4 == 0 { // out of the gamut, too
					s = colorimetry.Signal{Y: 1.4*rnd.Float64() - 0.2, CB: rnd.Float64() - 0.5, CR: rnd.Float64() - 0.5}
				}
				got := math.Sqrt(l.at(l.nearest(s)).to(pointOf(p.Outputs[0], s)))
				require.InDelta(t, slowNearest(p, s), got, 1e-6, "%+v", s)
			}
		})
	}
}

// TestNearestOf8Bits compares with every color of a wide neighborhood: a color
// that is nearer than the one found would lie within 12 codes of it.
func TestNearestOf8Bits(t *testing.T) {
	p := withBits(t, 8, 8, 8, "composite-m")
	l := p.palette(p.Outputs[0])
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		s := colorimetry.FromRGB(rnd.Float64(), rnd.Float64(), rnd.Float64())
		id := l.nearest(s)
		least := l.at(id).to(pointOf(p.Outputs[0], s))
		c := id.codes()
		found := math.Inf(1)
		for r := max(0, c[0]-12); r <= min(255, c[0]+12); r++ {
			for g := max(0, c[1]-12); g <= min(255, c[1]+12); g++ {
				for b := max(0, c[2]-12); b <= min(255, c[2]+12); b++ {
					found = min(found, l.point([3]int{r, g, b}).to(pointOf(p.Outputs[0], s)))
				}
			}
		}
		require.InDelta(t, found, least, 1e-6, "%+v", s)
	}
	if testing.Short() {
		return
	}
	// And one with all 16,777,216.
	s := colorimetry.FromRGB(0.3137, 0.7211, 0.0459)
	at, found := pointOf(p.Outputs[0], s), math.Inf(1)
	for n := range 1 << 24 {
		found = min(found, l.at(colorID(n)).to(at))
	}
	assert.InDelta(t, found, l.at(l.nearest(s)).to(at), 1e-6)
}

// TestNearestUnequalSteps: a converter whose steps are not equal.
func TestNearestUnequalSteps(t *testing.T) {
	p := withBits(t, 3, 3, 3, "composite-j")
	p.Color.Levels = [3][]float64{{0, .05, .2, .22, .5, .61, .9, 1}, {0, .1, .2, .3, .4, .5, .6, 1}, nil}
	l := p.palette(p.Outputs[0])
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		s := colorimetry.FromRGB(rnd.Float64(), rnd.Float64(), rnd.Float64())
		got := math.Sqrt(l.at(l.nearest(s)).to(pointOf(p.Outputs[0], s)))
		require.InDelta(t, slowNearest(p, s), got, 1e-6, "%+v", s)
	}
}

// TestGrayTies: 50 % lies halfway between two codes of every depth; the upper
// one is taken, and gray stays gray.
func TestGrayTies(t *testing.T) {
	for bits := 1; bits <= 8; bits++ {
		for _, output := range []string{"composite-m", "composite-j", "pal", "component-n10", "rgb-700"} {
			p := withBits(t, bits, bits, bits, output)
			half := 1 << (bits - 1)
			assert.Equal(t, idOf([3]int{half, half, half}), p.palette(p.Outputs[0]).nearest(colorimetry.Gray(0.5)), "%d bits on %s", bits, output)
		}
	}
}

// laid returns a pattern sampled on the usual raster of a device.
func laid(t testing.TB, p *Profile, spec string) (*pattern.Scene, pattern.View, *frame.Frame) {
	t.Helper()
	pt, err := pattern.Parse(spec)
	require.NoError(t, err)
	v := pattern.NewView(p.Rasters[0], p.Coding, frame.S444, p.Edges())
	s, err := pt.Scene(v)
	require.NoError(t, err)
	f, err := pattern.Sample(s, p.Rasters[0], frame.S444, 0)
	require.NoError(t, err)
	return s, v, f
}

// TestLevels: what leaves is k/(2^n-1) of full level, worked out without the
// package: bars of 75 % on 3 bits are bars of 5/7, on 5 bits 23/31.
func TestLevels(t *testing.T) {
	for _, tt := range []struct {
		bits int
		want float64
	}{{3, 5. / 7}, {4, 11. / 15}, {5, 23. / 31}, {8, 191. / 255}} {
		p := withBits(t, tt.bits, tt.bits, tt.bits, "composite-j")
		_, _, f := laid(t, p, "bars-full")
		x, err := p.Quantize(f)
		require.NoError(t, err)
		out := p.Emit(x, p.Rasters[0], p.Rasters[0])
		// From the left: white, yellow, cyan, green, magenta, red, blue, black.
		for i, rgb := range [][3]float64{{1, 1, 1}, {1, 1, 0}, {0, 1, 1}, {0, 1, 0}, {1, 0, 1}, {1, 0, 0}, {0, 0, 1}, {0, 0, 0}} {
			at := p.Rasters[0].Width * (2*i + 1) / 16
			s := colorimetry.Signal{Y: out.Planes[0].Row(100)[at], CB: out.Planes[1].Row(100)[at], CR: out.Planes[2].Row(100)[at]}
			r, g, b := s.RGB()
			for k, v := range [3]float64{r, g, b} {
				assert.InDelta(t, rgb[k]*tt.want, v, 1e-12, "%d bits, bar %d", tt.bits, i)
			}
		}
	}
}

// TestEmitHolds compares the fast way with a sum over a thousand points of each
// sample of the finer lattice.
func TestEmitHolds(t *testing.T) {
	p, err := Find("pixel-256")
	require.NoError(t, err)
	_, _, f := laid(t, p, "crosshatch")
	x, err := p.Quantize(f)
	require.NoError(t, err)
	from := p.Rasters[0]
	r := &timing.Raster{Name: "fine", Scan: from.Scan, Clock: timing.Int(13_500_000), Start: timing.Int(122), Width: 720, Lines: from.Lines}
	out := p.Emit(x, from, r)
	levels := p.signals(x)
	for _, j := range []int{0, 7, 120} {
		row := x.Rows[x.Lines[j]]
		for i := 0; i < r.Width; i += 3 {
			sum := 0.0
			const points = 1000
			for n := range points {
				us := (122 + float64(i) - 0.5 + (float64(n)+0.5)/points) / 13.5
				pixel := int(math.Floor(us*from.Clock.Float64()/1e6 - from.Start.Float64() + 0.5))
				if pixel >= 0 && pixel < len(row) {
					sum += levels[row[pixel]].Y
				}
			}
			require.InDelta(t, sum/points, out.Planes[0].Row(j)[i], 1.1/points, "row %d, sample %d", j, i)
		}
	}
}

// TestMergeKeepsPatches: a ramp of 32 grays beside patches, in the room of 12
// colors: the patches' colors are exact, and as many colors are used as fit.
func TestMergeKeepsPatches(t *testing.T) {
	p := withBits(t, 5, 5, 5, "composite-j")
	_, _, f := laid(t, p, "ramp")
	s, _, bars := laid(t, p, "bars-full")
	// The ramp above, one row of bars below it: small patches.
	for c := range f.Planes {
		pl := &f.Planes[c]
		pl.Rows = append(append([][]float64(nil), pl.Rows...), bars.Planes[c].Row(100))
		pl.Lines = append([]int32(nil), pl.Lines...)
		pl.Lines[len(pl.Lines)-1] = int32(len(pl.Rows) - 1)
	}
	all, m, err := p.QuantizeScene(f, Options{})
	require.NoError(t, err)
	require.Zero(t, m.Merged)
	require.Empty(t, m.Words())
	needed := len(all.Palette)

	p.Color.AtOnce = 12
	x, m, err := p.QuantizeScene(f, Options{Patches: s.Patches})
	require.NoError(t, err)
	assert.Len(t, x.Palette, 12)
	assert.Equal(t, needed, m.Needed)
	assert.Equal(t, needed-12, m.Merged)
	assert.True(t, m.Kept)
	assert.Positive(t, m.Worst)
	assert.Contains(t, m.Words(), "12 at once")
	last := x.Rows[x.Lines[len(x.Lines)-1]]
	for i := range 8 {
		at := len(last) * (2*i + 1) / 16
		exact := all.Palette[all.Rows[all.Lines[len(all.Lines)-1]][at]]
		assert.Equal(t, exact, x.Palette[last[at]], "bar %d", i)
	}

	// Without their names the bars, of one row in 240, are not worth 7 colors.
	x, _, err = p.QuantizeScene(f, Options{})
	require.NoError(t, err)
	lost := 0
	last = x.Rows[x.Lines[len(x.Lines)-1]]
	for i := range 8 {
		at := len(last) * (2*i + 1) / 16
		if all.Palette[all.Rows[all.Lines[len(all.Lines)-1]][at]] != x.Palette[last[at]] {
			lost++
		}
	}
	assert.Positive(t, lost)

	// More names than room.
	p.Color.AtOnce = 4
	x, m, err = p.QuantizeScene(f, Options{Patches: s.Patches})
	require.NoError(t, err)
	assert.Len(t, x.Palette, 4)
	assert.False(t, m.Kept)
	assert.Contains(t, m.Words(), "no room")
}

// TestMergeIsFrugal: of grays 0 to 7 in equal areas, 4 at once cannot do better
// than pairs: each of four colors stands for itself and a neighbor.
func TestMergeIsFrugal(t *testing.T) {
	p := withBits(t, 3, 3, 3, "composite-j")
	_, _, f := laid(t, p, "ramp")
	p.Color.AtOnce = 4
	x, m, err := p.QuantizeScene(f, Options{})
	require.NoError(t, err)
	assert.Len(t, x.Palette, 4)
	assert.InDelta(t, 1000/1.4/7, m.Worst, 0.01, "one step of 7, in mV")
}

// TestFixedPalette: order kept, index the device's own.
func TestFixedPalette(t *testing.T) {
	for _, name := range []string{"palette-16", "palette-128", "palette-16-625", "palette-128-625"} {
		p, err := Find(name)
		require.NoError(t, err)
		_, _, f := laid(t, p, "staircase")
		x, err := p.Quantize(f)
		require.NoError(t, err)
		require.Len(t, x.Palette, len(p.Color.Fixed))
		grays := map[uint16]bool{}
		for i, ink := range p.Color.Fixed {
			assert.Equal(t, ink.RGB, x.Palette[i])
			if ink.Signal.CB == 0 && ink.Signal.CR == 0 {
				grays[uint16(i)] = true
			}
		}
		for _, row := range x.Rows {
			for _, n := range row {
				assert.True(t, grays[n], "%s: a staircase is gray", name)
			}
		}
	}
}

// TestDither: never unless asked; asked, a flat area has the mean of its level.
func TestDither(t *testing.T) {
	for _, p := range []*Profile{withBits(t, 3, 3, 3, "composite-j"), withBits(t, 1, 1, 1, "pal")} {
		_, _, f := laid(t, p, "flat color=gray-40")
		plain, err := p.Quantize(f)
		require.NoError(t, err)
		assert.Len(t, plain.Palette, 1)
		x, _, err := p.QuantizeScene(f, Options{Dither: true})
		require.NoError(t, err)
		assert.Len(t, x.Palette, 2)
		sum, n := 0.0, 0
		for _, l := range x.Lines[:17*14] {
			for _, k := range x.Rows[l][:17*18] {
				sum += p.signals(x)[k].Y
				n++
			}
		}
		assert.InDelta(t, 0.40, sum/float64(n), 0.5/17)
		for _, c := range x.Palette {
			assert.Equal(t, [3]uint8{c[0], c[0], c[0]}, c, "gray stays gray")
		}
	}
	p, err := Find("palette-128")
	require.NoError(t, err)
	_, _, f := laid(t, p, "flat color=gray-40")
	x, _, err := p.QuantizeScene(f, Options{Dither: true})
	require.NoError(t, err)
	used := map[uint16]bool{}
	for _, row := range x.Rows {
		for _, k := range row {
			used[k] = true
		}
	}
	assert.Len(t, used, 2)
}

// TestRound: the pixel shape makes circles round: as many picture heights across
// as down.
func TestRound(t *testing.T) {
	for _, p := range Builtin() {
		for _, r := range p.Rasters {
			c, s := r.Comb(0), r.Span(0)
			assert.InEpsilon(t, r.PixelShape().Float64(), c.DX/s.DY, 1e-12, r.Name)
		}
	}
}

func TestQuantizeRefuses444Only(t *testing.T) {
	p := withBits(t, 3, 3, 3, "composite-j")
	_, _, f := laid(t, p, "ramp")
	f.Sampling = frame.S422
	_, err := p.Quantize(f)
	assert.ErrorContains(t, err, "4:4:4")
}

func BenchmarkQuantize(b *testing.B) {
	for _, bits := range []int{3, 5, 8} {
		for _, spec := range []string{"bars-full", "ramp", "circles"} {
			b.Run(spec+"/"+string(rune('0'+bits)), func(b *testing.B) {
				p := withBits(b, bits, bits, bits, "composite-j")
				_, _, f := laid(b, p, spec)
				b.ReportAllocs()
				for b.Loop() {
					if _, err := p.Quantize(f); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
	b.Run("worst: every sample another color/5", func(b *testing.B) {
		p := withBits(b, 5, 5, 5, "composite-j")
		_, _, f := laid(b, p, "flat")
		rnd := rand.New(rand.NewPCG(1, 2))
		for c := range f.Planes {
			f.Planes[c].Rows = nil
			for j := range f.Planes[c].Lines {
				row := make([]float64, p.Rasters[0].Width)
				for i := range row {
					row[i] = 0.5 * rnd.Float64()
				}
				f.Planes[c].Lines[j] = int32(j)
				f.Planes[c].Rows = append(f.Planes[c].Rows, row)
			}
		}
		for b.Loop() {
			if _, err := p.Quantize(f); err != nil {
				b.Fatal(err)
			}
		}
	})
	for _, room := range []int{16, 256} {
		b.Run(fmt.Sprintf("merge: 4000 colors into %d", room), func(b *testing.B) {
			p := withBits(b, 4, 4, 4, "composite-j")
			p.Color.AtOnce = room
			_, _, f := laid(b, p, "flat")
			rnd := rand.New(rand.NewPCG(1, 2))
			for c := range f.Planes {
				f.Planes[c].Rows = nil
			}
			for j := range f.Planes[0].Lines {
				var rows [3][]float64
				for range p.Rasters[0].Width {
					s := colorimetry.FromRGB(rnd.Float64(), rnd.Float64(), rnd.Float64())
					rows[0], rows[1], rows[2] = append(rows[0], s.Y), append(rows[1], s.CB), append(rows[2], s.CR)
				}
				for c := range f.Planes {
					f.Planes[c].Rows = append(f.Planes[c].Rows, rows[c])
					f.Planes[c].Lines[j] = int32(j)
				}
			}
			for b.Loop() {
				if _, err := p.Quantize(f); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestThresholds: the mean of all levels of a dithered area is that of the
// levels asked for, so the thresholds lie about a half, and none is 0 or 1,
// where an exact level would dither.
func TestThresholds(t *testing.T) {
	sum := 0.0
	for x := range ditherLevels {
		v := threshold(x, 3)
		assert.Greater(t, v, 0.0)
		assert.Less(t, v, 1.0)
		sum += v
	}
	assert.InDelta(t, 0.5, sum/ditherLevels, 1e-12)
}

// TestMergeByArea: of a large area and a small one, a step apart, the small one
// is given up.
func TestMergeByArea(t *testing.T) {
	var blobs []blob
	for i, area := range []float64{1, 100, 1} {
		at := point{[]float64{0, 10, 19}[i]}
		blobs = append(blobs, blob{id: colorID(i), at: at, weight: area, mean: at})
	}
	for i := range blobs {
		choose(blobs, i)
	}
	giveUp(blobs)
	assert.Equal(t, []bool{false, false, true}, []bool{blobs[0].gone, blobs[1].gone, blobs[2].gone})
	assert.Equal(t, 1, blobs[2].into)
}

// TestTieOfInks: half of white is as near to each corner of the R'G'B' cube on
// three cables as to any other. The picture has the one of most luma, as the
// readings say, whatever the order of the palette.
func TestTieOfInks(t *testing.T) {
	p, err := Find("palette-16")
	require.NoError(t, err)
	p.Outputs = []*colorimetry.Family{colorimetry.LookupFamily("rgb-714")}
	p.Color.Fixed = nil
	for _, c := range [][3]uint8{{0, 0, 0}, {0, 0, 255}, {255, 0, 0}, {255, 0, 255}, {0, 255, 0}, {0, 255, 255}, {255, 255, 0}, {255, 255, 255}} {
		p.Color.Fixed = append(p.Color.Fixed, InkOfRGB(c))
	}
	gray := colorimetry.Gray(0.5)
	assert.EqualValues(t, 7, p.palette(p.Outputs[0]).nearest(gray))
	x := &pixfmt.Indexed{Rows: [][]uint16{{0}}, Lines: []int32{0}}
	for _, ink := range p.Color.Fixed {
		x.Palette = append(x.Palette, ink.RGB)
	}
	index, _ := p.IndexOn(x, gray, p.Outputs[0])
	assert.Equal(t, 7, index)
}
