package timing

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slowPlace is where a moment of a line lies, straight from the definition: a
// 4:3 picture is as many heights wide as its time times the heights that square
// samples cover, one sample to a row of the frame of two fields.
func slowPlace(s *System, us *big.Rat) *big.Rat {
	middle := new(big.Rat).Add(rat(s.Left), rat(s.Right))
	middle.Quo(middle, big.NewRat(2, 1))
	samples := new(big.Rat).Sub(us, middle) // at Square
	samples.Mul(samples, rat(s.Square)).Quo(samples, big.NewRat(1_000_000, 1))
	rows := new(big.Rat).Mul(rat(s.Height), big.NewRat(2, 1))
	return samples.Quo(samples, rows)
}

func slowComb(r *Raster, j int) Comb {
	us := new(big.Rat).Quo(big.NewRat(1_000_000, 1), rat(r.Clock)) // a sample
	start := rat(r.Start)
	if r.Free {
		// Walk the running clock to the row's 0H, in samples after line 1's.
		line := new(big.Rat).Quo(rat(r.Clock), rat(r.Scan.LineRate()))
		zero := new(big.Rat).Mul(line, big.NewRat(int64(r.Lines[j].Number-1), 1))
		floor := new(big.Int).Div(new(big.Int).Neg(zero.Num()), zero.Denom())
		first := new(big.Rat).SetInt(floor.Neg(floor))
		start.Add(start, first.Sub(first, zero))
	}
	at := func(i int64) *big.Rat {
		return slowPlace(r.Scan.System, new(big.Rat).Mul(us, new(big.Rat).Add(start, big.NewRat(i, 1))))
	}
	x0, _ := at(0).Float64()
	dx, _ := new(big.Rat).Sub(at(1), at(0)).Float64()
	return Comb{x0, dx, r.Width}
}

func slowSpan(r *Raster, j int) Span {
	l, s := r.Lines[j], r.Scan.System
	y := big.NewRat(int64(l.Number), 1)
	if l.Field == 2 {
		y.Sub(y, rat(s.Offset))
	}
	y.Sub(y, rat(s.Middle)).Quo(y, rat(s.Height))
	dy := new(big.Rat).Quo(big.NewRat(1, int64(r.Scan.Fields)), rat(s.Height))
	var out Span
	out.Y, _ = y.Float64()
	out.DY, _ = dy.Float64()
	return out
}

// TestPlaces holds every row of every raster, and of both Free ones, to the
// definition, to the last bit.
func TestPlaces(t *testing.T) {
	for _, r := range append(Rasters(), free525(), free625()) {
		for j := range r.Lines {
			require.Equal(t, slowSpan(r, j), r.Span(j), "%s row %d", r.Name, j)
			if j == 0 || r.Free {
				require.Equal(t, slowComb(r, j), r.Comb(j), "%s row %d", r.Name, j)
			}
			require.Equal(t, r.Comb(j), r.combExact(j), "%s row %d", r.Name, j)
			require.Equal(t, r.Span(j), r.spanExact(j), "%s row %d", r.Name, j)
		}
	}
}

// TestFastIsTaken: the benchmarks and the sharing of mirrored rows rest on it.
func TestFastIsTaken(t *testing.T) {
	for _, r := range append(Rasters(), free525(), free625()) {
		for _, j := range []int{0, 1, r.Height() - 1} {
			_, ok := r.combFast(j)
			assert.True(t, ok, "Comb of %s row %d", r.Name, j)
			_, ok = r.spanFast(j)
			assert.True(t, ok, "Span of %s row %d", r.Name, j)
		}
	}
}

// TestPlacesOfAnyClock: clocks, starts and lines that nobody has listed, some
// of them beyond what the fast way takes.
func TestPlacesOfAnyClock(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	scans := []*Scan{Scan525i, Scan262, Scan262c228, Scan262c227_33, Scan625i, Scan312, Scan313}
	slow := 0
	for range 3000 {
		s := scans[random.IntN(len(scans))]
		r := &Raster{
			Scan:  s,
			Clock: R(1_000_000+random.Int64N(80_000_000), 1+random.Int64N(12)),
			Start: R(random.Int64N(4000)-1000, 1+random.Int64N(8)),
			Free:  random.IntN(2) == 0,
			Width: 1 + random.IntN(3000),
			Lines: []Line{{1 + random.IntN(s.Lines), 1 + random.IntN(s.Fields)}},
		}
		if _, ok := r.combFast(0); !ok {
			slow++
		}
		require.Equal(t, slowComb(r, 0), r.Comb(0), "%+v", r)
		require.Equal(t, slowSpan(r, 0), r.Span(0), "%+v", r)
	}
	assert.Positive(t, slow, "some of them, such as a Start before 0H, take the plain way")
}

// TestFastDeclines: what the fast ways cannot hold goes to the plain ones.
func TestFastDeclines(t *testing.T) {
	odd := *System525
	odd.Middle = R(-567, 4)
	scan := *Scan525i
	scan.System = &odd
	r := &Raster{Scan: &scan, Clock: Int(13_500_000), Start: Int(122), Width: 10, Lines: []Line{{21, 1}, {-3, 2}}}
	_, ok := r.spanFast(0)
	assert.False(t, ok)
	assert.Equal(t, slowSpan(r, 0), r.Span(0))
	assert.Equal(t, slowSpan(r, 1), r.Span(1))

	odd = *System525
	odd.Height = R(243<<20, 1<<20+1)
	_, ok = r.spanFast(0)
	assert.False(t, ok)
	assert.Equal(t, slowSpan(r, 0), r.Span(0))

	// A line number that eight times over does not fit 63 bits.
	odd = *System525
	r.Lines = []Line{{1 << 60, 2}}
	assert.Equal(t, slowSpan(r, 0), r.Span(0))

	// A row before the first of the frame, on a clock that runs on.
	f := free625()
	f.Lines = []Line{{0, 1}, {-624, 1}}
	for j := range f.Lines {
		assert.Equal(t, slowComb(f, j), f.Comb(j))
	}
	// A system without figures is a programmer's mistake.
	assert.Panics(t, func() { (&Raster{Scan: &Scan{System: &System{}, Fields: 1}, Lines: []Line{{1, 1}}}).Span(0) })
	assert.Panics(t, func() {
		(&Raster{Scan: &Scan{System: &System{}, Fields: 1}, Clock: Int(1), Start: Int(0), Lines: []Line{{1, 1}}}).Comb(0)
	})
	// Too large for a Ratio is an overflow and not a wrong place.
	f.Clock = R(math.MaxInt64, math.MaxInt64-1)
	assert.PanicsWithValue(t, "timing: Ratio overflow", func() { f.Comb(0) })
}

// TestMirror: rows at equal distance from the middle have exactly opposite Y,
// so that a circle has half as many different rows.
func TestMirror(t *testing.T) {
	for _, name := range []string{"486i", "576i"} { // these hold the whole picture
		r := Lookup(name)
		for j := range r.Lines {
			assert.Equal(t, r.Span(j).Y, -r.Span(r.Height()-1-j).Y, "%s row %d", name, j)
		}
	}
	for _, r := range Rasters() {
		at := map[float64]bool{}
		for j := range r.Lines {
			at[r.Span(j).Y] = true
		}
		inside := min(-r.Span(0).Y, r.Span(r.Height()-1).Y)
		pairs := 0
		for y := range at {
			if math.Abs(y) <= inside && at[-y] {
				pairs++
			}
		}
		if r.Scan.Interlaced() {
			assert.Greater(t, pairs, r.Height()-8, "%s", r.Name)
		} else {
			// 141.75 and 166.75 are no multiple of half a line: the rows of field 1
			// alone have no mirror.
			assert.Zero(t, pairs, "%s", r.Name)
		}
	}
}

// TestRowsOverlay: a row of a non-interlaced raster lies where the same line of
// field 1 lies in the interlaced one, so that marks drawn on both coincide.
func TestRowsOverlay(t *testing.T) {
	for _, tt := range []struct{ single, inter string }{{"240p", "480i"}, {"240p-228", "486i"}, {"288p", "576i"}} {
		at := map[int]float64{}
		i := Lookup(tt.inter)
		for j, l := range i.Lines {
			if l.Field == 1 {
				at[l.Number] = i.Span(j).Y
			}
		}
		both := 0
		p := Lookup(tt.single)
		for j, l := range p.Lines {
			if y, ok := at[l.Number]; ok {
				assert.Equal(t, y, p.Span(j).Y)
				both++
			}
			assert.Equal(t, 2*i.Span(0).DY, p.Span(j).DY)
		}
		assert.GreaterOrEqual(t, both, 239)
		assert.Equal(t, i.Comb(0), p.Comb(0))
	}
}

// TestWindow: the edges of the analog picture in samples of 13.5 MHz, from the
// blanking of SMPTE 170M table 2 and ITU-R BT.1700 and sample 0 of BT.601-5
// figures 1 and 2.
func TestWindow(t *testing.T) {
	for _, r := range Rasters() {
		left, right := r.Window()
		want := [2]Ratio{R(22, 10), R(71_575, 100)}
		if r.Scan.System == System625 {
			want = [2]Ratio{R(975, 100), R(71_175, 100)}
		}
		assert.Equal(t, want, [2]Ratio{left, right}, r.Name)
		// 0H falls on sample -122 or -132, and the next one 858 or 864 after it.
		assert.Equal(t, Int(0), r.TimeOf(r.SampleAt(Int(0))))
		assert.Equal(t, r.Start, Int(0).Sub(r.SampleAt(Int(0))))
		if r.Scan.Interlaced() {
			assert.Equal(t, r.SamplesPerLine(), r.SampleAt(r.Scan.LinePeriod()).Add(r.Start))
		}
	}
	random := rand.New(rand.NewPCG(7, 8))
	for range 1000 {
		r := Rasters()[random.IntN(len(Rasters()))]
		x := R(random.Int64N(2_000_000)-1_000_000, 1+random.Int64N(1000))
		assert.Equal(t, x, r.SampleAt(r.TimeOf(x)))
		assert.Equal(t, x, r.TimeOf(r.SampleAt(x)))
	}
}

// TestCenter: the middle of the window is x = 0, its edges are those of the
// picture, and the comb meets them.
func TestCenter(t *testing.T) {
	for _, r := range append(Rasters(), free525(), free625()) {
		p, c := r.Picture(), r.Comb(0)
		assert.Equal(t, -p.X0, p.X1)
		assert.Equal(t, -0.5, p.Y0)
		assert.Equal(t, 0.5, p.Y1)
		left, right := r.Window()
		assert.InDelta(t, p.X0, c.X0+left.Float64()*c.DX, 1e-15, r.Name)
		assert.InDelta(t, p.X1, c.X0+right.Float64()*c.DX, 1e-15, r.Name)
		assert.Equal(t, c.X0, c.At(0))
		// A 4:3 picture is 4/3 wide within the 0.4 % by which blankings differ.
		assert.InEpsilon(t, 4./3, p.X1-p.X0, 0.004, r.Name)
	}
}

// TestShown: what a raster shows is its samples and rows, cut to the picture.
func TestShown(t *testing.T) {
	for _, r := range Rasters() {
		e, p := r.Shown(), r.Picture()
		assert.True(t, e.X0 >= p.X0 && e.X1 <= p.X1 && e.Y0 >= p.Y0 && e.Y1 <= p.Y1, r.Name)
		// 720 samples at 13.5 MHz are wider than the picture.
		assert.Equal(t, [2]float64{p.X0, p.X1}, [2]float64{e.X0, e.X1}, r.Name)
		// As high as its rows, which in an interlaced raster are half lines.
		rows := float64(r.Height()) / r.Scan.System.Height.Float64() / float64(r.Scan.Fields)
		if r.Name == "576i-dv" || r.Name == "288p" || r.Name == "288p-313" {
			assert.Less(t, e.Y1-e.Y0, rows, "the uppermost row lies half outside the picture")
			continue
		}
		assert.InDelta(t, rows, e.Y1-e.Y0, 1e-15, r.Name)
	}
	// 256 samples of 3/2 fsc lie inside.
	r := &Raster{Scan: Scan262, Clock: R(118_125_000, 22), Start: Int(62), Width: 256, Lines: consecutive(22, 240)}
	e, c := r.Shown(), r.Comb(0)
	assert.Equal(t, c.X0-c.DX/2, e.X0)
	assert.InDelta(t, 256*c.DX, e.X1-e.X0, 1e-15)
}
