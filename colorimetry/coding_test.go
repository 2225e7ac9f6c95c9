package colorimetry

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// codings is every coding, with the slow, obvious twin of its scale: what code
// stands for 0 and what for 1, by ITU-R BT.601-5 clauses 3.5.3 and 3.4, and for
// full range by its number of bits.
var codings = []struct {
	k         *Coding
	zero, one [3]int64 // of components; for CB and CR, one is a difference of 1
}{
	{YCbCr8, [3]int64{16, 128, 128}, [3]int64{235, 128 + 224, 128 + 224}},
	{YCbCr10, [3]int64{64, 512, 512}, [3]int64{940, 512 + 896, 512 + 896}},
	{RGB8, [3]int64{}, [3]int64{255, 255, 255}},
	{RGB16, [3]int64{}, [3]int64{65535, 65535, 65535}},
	{RGB8Studio, [3]int64{16, 16, 16}, [3]int64{235, 235, 235}},
	{RGB16Studio, [3]int64{16 * 256, 16 * 256, 16 * 256}, [3]int64{235 * 256, 235 * 256, 235 * 256}},
	{RGB565, [3]int64{}, [3]int64{31, 63, 31}},
	{RGB555, [3]int64{}, [3]int64{31, 31, 31}},
}

// slowCodes is the unrounded code of R'G'B' r, g, b over den, exactly: luma of
// thousandths (BT.601-5 clause 3.5.1), color differences over 1.772 and 1.402
// (clause 3.5.2).
func slowCodes(m Model, zero, one [3]int64, r, g, b, den int64) (v [3]*big.Rat) {
	v = [3]*big.Rat{big.NewRat(r, den), big.NewRat(g, den), big.NewRat(b, den)}
	if m == YCbCr {
		y := big.NewRat(299*r+587*g+114*b, 1000*den)
		cb := new(big.Rat).Quo(new(big.Rat).Sub(v[2], y), big.NewRat(1772, 1000))
		cr := new(big.Rat).Quo(new(big.Rat).Sub(v[0], y), big.NewRat(1402, 1000))
		v = [3]*big.Rat{y, cb, cr}
	}
	for i := range v {
		v[i].Mul(v[i], big.NewRat(one[i]-zero[i], 1)).Add(v[i], big.NewRat(zero[i], 1))
	}
	return v
}

// halfUp is floor(v + 1/2).
func halfUp(v *big.Rat) int64 {
	v = new(big.Rat).Add(v, big.NewRat(1, 2))
	return new(big.Int).Div(v.Num(), v.Denom()).Int64()
}

// TestCodesExact holds all codings to rationals, for R'G'B' of per mille and
// beyond the cube, ties among them: there the code is the real number, rounded
// half up.
func TestCodesExact(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	var inputs [][4]int64 // r, g, b, den
	for i := int64(-60); i <= 1080; i += 5 {
		inputs = append(inputs, [4]int64{i, i, i, 1000})
	}
	for range 1200 {
		den := []int64{100, 255, 438, 1000, 1752, 65535}[random.IntN(6)]
		in := [4]int64{0, 0, 0, den}
		for i := range in[:3] {
			in[i] = random.Int64N(den+den/8) - den/16
		}
		inputs = append(inputs, in)
	}
	ties, near := 0, 0
	for _, c := range codings {
		for _, in := range inputs {
			d := float64(in[3])
			s := FromRGB(float64(in[0])/d, float64(in[1])/d, float64(in[2])/d)
			got, unrounded := c.k.Codes(s), c.k.Real(s)
			for i, v := range slowCodes(c.k.Model, c.zero, c.one, in[0], in[1], in[2], in[3]) {
				least, greatest, zero := c.k.Range(i)
				real, _ := v.Float64()
				if zero != float64(c.zero[i]) || math.Abs(real-unrounded[i]) > 1e-9 {
					t.Fatalf("%s component %d of %v: %v about %v, want %v about %d", c.k.Name, i, in, unrounded[i], zero, real, c.zero[i])
				}
				below := math.Ceil(real-0.5) + 0.5 - real // to the next half above
				if below > 1e-9 && below < 2e-6 {
					near++ // neither answer is promised here
					continue
				}
				if below == 0 || below == 1 {
					ties++
				}
				want := min(max(halfUp(v), int64(least)), int64(greatest))
				if int64(got[i]) != want {
					t.Fatalf("%s component %d of %v: code %d of %v, want %d", c.k.Name, i, in, got[i], v.FloatString(9), want)
				}
			}
		}
	}
	assert.Greater(t, ties, 100, "exact halves were among them")
	assert.Less(t, near, 5)
}

// TestCodesOfTheCube: a fifteenth of the 8-bit R'G'B' cube, in exact integers.
// 56/443/255 and 73/85000 are 224/1.772/1000/255 and 219/1000/255 in lowest
// terms; no code of the cube comes nearer to a half than 4e-6.
func TestCodesOfTheCube(t *testing.T) {
	floor := func(a, b int64) int64 {
		q := a / b
		if a%b < 0 {
			q--
		}
		return q
	}
	step := int64(3)
	if testing.Short() {
		step = 51
	}
	for r := int64(0); r < 256; r += step {
		for g := int64(0); g < 256; g += 5 {
			for b := int64(0); b < 256; b++ {
				s := FromRGB(float64(r)/255, float64(g)/255, float64(b)/255)
				y := 299*r + 587*g + 114*b
				db, dr := 1000*b-y, 1000*r-y
				for _, c := range []struct {
					k    *Coding
					unit int64
				}{{YCbCr8, 1}, {YCbCr10, 4}} {
					want := [3]uint16{
						uint16(floor(2*73*c.unit*y+85_000, 2*85_000) + 16*c.unit),
						uint16(floor(2*56*c.unit*db+443*255, 2*443*255) + 128*c.unit),
						uint16(floor(2*224*1000*c.unit*dr+1402*1000*255, 2*1402*1000*255) + 128*c.unit),
					}
					if got := c.k.Codes(s); got != want {
						t.Fatalf("%s of (%d, %d, %d): %v, want %v", c.k.Name, r, g, b, got, want)
					}
				}
				if got := RGB8.Codes(s); got != [3]uint16{uint16(r), uint16(g), uint16(b)} {
					t.Fatalf("RGB8 of (%d, %d, %d): %v", r, g, b, got)
				}
			}
		}
	}
}

// TestTies: an exact half goes up on every machine.
func TestTies(t *testing.T) {
	assert.Equal(t, [3]uint16{126, 128, 128}, YCbCr8.Codes(Gray(0.5)), "16 + 109.5 is 125.5")
	assert.Equal(t, [3]uint16{126, 128, 128}, YCbCr8.Codes(FromRGB(0.5, 0.5, 0.5)))
	assert.Equal(t, [3]uint16{502, 512, 512}, YCbCr10.Codes(Gray(0.5)), "not four times 126")
	assert.Equal(t, [3]uint16{128, 128, 128}, RGB8.Codes(Gray(0.5)))
	assert.Equal(t, [3]uint16{32768, 32768, 32768}, RGB16.Codes(Gray(0.5)))
	assert.Equal(t, [3]uint16{126, 126, 126}, RGB8Studio.Codes(Gray(0.5)))
	assert.Equal(t, [3]uint16{16, 32, 16}, RGB565.Codes(Gray(0.5)))
	// All halves of luma and of the color differences that 8 bits have.
	for n := 1; n < 2*238; n += 2 {
		assert.EqualValues(t, 16+(n+1)/2, YCbCr8.Codes(Gray(float64(n) / 438))[0], "%d/438", n)
	}
	for n := -2*126 + 1; n < 2*125; n += 2 {
		want := 128 + int(math.Floor(float64(n)/2+0.5))
		assert.EqualValues(t, want, YCbCr8.Codes(Signal{0.5, float64(n) / 448, 0})[1], "%d/448", n)
		assert.EqualValues(t, want, YCbCr8.Codes(Signal{0.5, 0, float64(n) / 448})[2], "%d/448", n)
	}
	// Up to 1e-6 below a half counts as the half, 2e-6 does not.
	assert.EqualValues(t, 126, YCbCr8.Codes(Gray((109.5 - 0.9e-6) / 219))[0])
	assert.EqualValues(t, 125, YCbCr8.Codes(Gray((109.5 - 2e-6) / 219))[0])
}

// TestGrayIsGray: to the last bit, whatever way it is made.
func TestGrayIsGray(t *testing.T) {
	for i := -7000; i <= 10900; i++ {
		y := float64(i) / 10000
		require.Equal(t, Signal{Y: y}, FromRGB(y, y, y))
		r, g, b := Gray(y).RGB()
		require.Equal(t, [3]float64{y, y, y}, [3]float64{r, g, b})
	}
}

// TestRGBRoundTrip: both directions undo each other.
func TestRGBRoundTrip(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 20_000 {
		r, g, b := 2*random.Float64()-0.5, 2*random.Float64()-0.5, 2*random.Float64()-0.5
		x, y, z := FromRGB(r, g, b).RGB()
		require.InDelta(t, r, x, 1e-15)
		require.InDelta(t, g, y, 1e-15)
		require.InDelta(t, b, z, 1e-15)
	}
	// The corners of the cube fill ±0.5: ITU-R BT.601-5 clause 3.5.2.
	assert.InDelta(t, 0.5, FromRGB(0, 0, 1).CB, 1e-15)
	assert.InDelta(t, -0.5, FromRGB(1, 1, 0).CB, 1e-15)
	assert.InDelta(t, 0.5, FromRGB(1, 0, 0).CR, 1e-15)
	assert.InDelta(t, -0.5, FromRGB(0, 1, 1).CR, 1e-15)
	assert.Equal(t, Signal{Y: 1}, FromRGB(1, 1, 1))
	assert.Equal(t, 0.25, Signal{0.25, 0.5, -0.5}.Of(Y))
	assert.Equal(t, 0.5, Signal{0.25, 0.5, -0.5}.Of(CB))
	assert.Equal(t, -0.5, Signal{0.25, 0.5, -0.5}.Of(CR))
	assert.Equal(t, "CR", CR.String())
	assert.Equal(t, "Component(3)", Component(3).String())
}

func TestLegal(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 1000 {
		s := FromRGB(random.Float64()-0.3, random.Float64()-0.3, random.Float64()-0.3)
		l := s.Legal()
		r, g, b := l.RGB()
		assert.GreaterOrEqual(t, min(r, g, b), -1e-15)
		assert.Equal(t, [2]float64{s.CB, s.CR}, [2]float64{l.CB, l.CR})
		if x, y, z := s.RGB(); min(x, y, z) >= 0 {
			assert.Equal(t, s, l)
		} else {
			assert.InDelta(t, 0, min(r, g, b), 1e-15, "no more luma than needed")
		}
	}
}

// TestHolds: the codes in use are 1 to 254 (BT.601-5 table 2), 4 to 1019 (10-bit
// interface, secondary), and all of full range.
func TestHolds(t *testing.T) {
	for _, tt := range []struct {
		k               *Coding
		i               int
		least, greatest uint16
	}{
		{YCbCr8, 0, 1, 254}, {YCbCr8, 1, 1, 254}, {YCbCr8, 2, 1, 254},
		{YCbCr10, 0, 4, 1019}, {YCbCr10, 1, 4, 1019}, {YCbCr10, 2, 4, 1019},
		{RGB8, 0, 0, 255}, {RGB16, 1, 0, 65535}, {RGB565, 0, 0, 31}, {RGB565, 1, 0, 63}, {RGB555, 1, 0, 31},
		{RGB8Studio, 2, 1, 254},
	} {
		lo, hi, _ := tt.k.Range(tt.i)
		assert.Equal(t, [2]uint16{tt.least, tt.greatest}, [2]uint16{lo, hi}, "%s component %d", tt.k.Name, tt.i)

		// A signal whose component i has the unrounded code v.
		at := func(v float64) Signal {
			c := tt.k.Real(Gray(0.5))
			c[tt.i] = v
			for i := range c {
				c[i] = (c[i] - tt.k.zero[i]) / tt.k.span[i]
			}
			if tt.k.Model == RGB {
				return FromRGB(c[0], c[1], c[2])
			}
			return Signal{c[0], c[1], c[2]}
		}
		for _, e := range []struct {
			v    float64
			want bool
			code uint16
		}{
			{float64(lo), true, lo}, {float64(lo) - 0.49, true, lo}, {float64(lo) - 0.51, false, lo}, {float64(lo) - 9, false, lo},
			{float64(hi), true, hi}, {float64(hi) + 0.49, true, hi}, {float64(hi) + 0.5, false, hi}, {float64(hi) + 900, false, hi},
		} {
			assert.Equal(t, e.want, tt.k.Holds(at(e.v)), "%s component %d, code %g", tt.k.Name, tt.i, e.v)
			assert.Equal(t, e.code, tt.k.Codes(at(e.v))[tt.i], "%s component %d, code %g", tt.k.Name, tt.i, e.v)
		}
	}
	// Full-range RGB holds the cube and nothing else.
	assert.True(t, RGB8.Holds(FromRGB(0, 1, 1)))
	assert.False(t, RGB8.Holds(Gray(-0.04)))
	assert.False(t, RGB8.Holds(Gray(1.04)))
	assert.False(t, RGB8.Holds(MinusI(nil)))
	assert.True(t, YCbCr8.Holds(MinusI(nil)))
}

// TestNotANumber: a color that was never worked out becomes no reserved code,
// on any machine.
func TestNotANumber(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range codings {
		for _, s := range []Signal{{nan, 0, 0}, {0.5, nan, nan}, {inf, inf, inf}, {-inf, 0, 0}, {1e300, -1e300, 1e300}} {
			for i, v := range c.k.Codes(s) {
				lo, hi, _ := c.k.Range(i)
				assert.True(t, lo <= v && v <= hi, "%s of %v: %d", c.k.Name, s, v)
			}
			assert.False(t, c.k.Holds(s), "%s of %v", c.k.Name, s)
		}
	}
}

// TestSignalInverse: codes to signal and back are the same codes.
func TestSignalInverse(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for _, c := range codings {
		for range 3000 {
			var code [3]uint16
			for i := range code {
				lo, hi, _ := c.k.Range(i)
				code[i] = lo + uint16(random.IntN(int(hi-lo)+1))
			}
			require.Equal(t, code, c.k.Codes(c.k.Signal(code)), c.k.Name)
			require.True(t, c.k.Holds(c.k.Signal(code)), c.k.Name)
		}
	}
	assert.Equal(t, Signal{Y: 1}, YCbCr8.Signal([3]uint16{235, 128, 128}))
	assert.Equal(t, Signal{}, YCbCr10.Signal([3]uint16{64, 512, 512}))
	assert.Equal(t, Signal{Y: 1}, RGB16.Signal([3]uint16{65535, 65535, 65535}))
}

// TestRows: a row has the codes of its samples, one by one.
func TestRows(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	const n = 2000
	var v [3][]float64
	var got [3][]uint16
	for i := range v {
		v[i], got[i] = make([]float64, n), make([]uint16, n)
		for j := range v[i] {
			v[i][j] = 3*random.Float64() - 1
		}
	}
	for j := range 438 { // ties of luma
		v[0][j], v[1][j], v[2][j] = float64(j)/438, 0, 0
	}
	v[0][500], v[1][501], v[2][502] = math.NaN(), math.Inf(1), math.Inf(-1)
	for _, c := range codings {
		if c.k.Model == RGB {
			c.k.RowRGB(got[0], got[1], got[2], v[0], v[1], v[2])
			assert.Panics(t, func() { c.k.Row(got[0], Y, v[0]) })
		} else {
			for i := range v {
				c.k.Row(got[i], Component(i), v[i])
			}
			assert.Panics(t, func() { c.k.RowRGB(got[0], got[1], got[2], v[0], v[1], v[2]) })
		}
		for j := range n {
			want := c.k.Codes(Signal{v[0][j], v[1][j], v[2][j]})
			require.Equal(t, want, [3]uint16{got[0][j], got[1][j], got[2][j]}, "%s sample %d", c.k.Name, j)
		}
	}
}

// TestBarCodes: every row of the table of codes. Unrounded and 8- and 10-bit
// codes are arithmetic on ITU-R BT.601-5 clause 3.5.3; the p columns are 10-bit
// codes printed elsewhere (secondary). The simplified coefficients of 3.5.3 and
// the integer matrix of 3.5.4 may differ by one.
func TestBarCodes(t *testing.T) {
	printed := 0
	for _, row := range testtable.Table(t, "bars_codes_601.csv") {
		name := row.Text(t, "bars") + " " + row.Text(t, "bar")
		s := FromRGB(row.Float(t, "R"), row.Float(t, "G"), row.Float(t, "B"))
		eight, ten, real := YCbCr8.Codes(s), YCbCr10.Codes(s), YCbCr8.Real(s)
		for i, c := range []string{"Y", "Cb", "Cr"} {
			// Six decimals of R'G'B' are up to 1.3e-4 code.
			assert.InDelta(t, row.Float(t, "u_"+c), real[i], 2e-4, name)
			assert.EqualValues(t, row.Int(t, c+"8"), eight[i], name)
			assert.EqualValues(t, row.Int(t, c+"10"), ten[i], name)
			if row.Text(t, "pY10") != "" {
				assert.EqualValues(t, row.Int(t, "p"+c+"10"), ten[i], name)
				printed++
			}
			if row.Text(t, "sY8") != "" {
				assert.InDelta(t, row.Int(t, "s"+c+"8"), float64(eight[i]), 1, name)
				assert.InDelta(t, row.Int(t, "i"+c+"8"), float64(eight[i]), 1, name)
			}
		}
	}
	assert.Equal(t, 3*15, printed)
}

// TestRP219Codes: the SD columns of RP 219's elements (calc; R'G'B' secondary,
// names of the dark steps memory).
func TestRP219Codes(t *testing.T) {
	legal := map[string]Signal{"-I": LegalMinusI(), "+I": LegalPlusI(), "+Q": LegalPlusQ()}
	for _, row := range testtable.Table(t, "rp219_codes.csv") {
		name := row.Text(t, "element")
		all := []Signal{FromRGB(row.Float(t, "R"), row.Float(t, "G"), row.Float(t, "B"))}
		if s, ok := legal[name]; ok {
			all = append(all, s)
			delete(legal, name)
		}
		for _, s := range all {
			for i, c := range []string{"Y", "Cb", "Cr"} {
				assert.EqualValues(t, row.Int(t, "sd"+c+"8"), YCbCr8.Codes(s)[i], "%s, 8 bits", name)
				assert.EqualValues(t, row.Int(t, "sd"+c+"10"), YCbCr10.Codes(s)[i], "%s, 10 bits", name)
			}
		}
	}
	assert.Empty(t, legal)
}
