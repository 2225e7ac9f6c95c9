package timing

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rat is the slow, obvious twin of a Ratio.
func rat(a Ratio) *big.Rat { return new(big.Rat).SetFrac(big.NewInt(a.Num), big.NewInt(a.Den)) }

// lowest reports whether a is in lowest terms with a positive denominator.
func lowest(a Ratio) bool {
	return a.Den > 0 && new(big.Int).GCD(nil, nil, new(big.Int).Abs(big.NewInt(a.Num)), big.NewInt(a.Den)).Int64() == 1
}

// someRatio returns numbers of every size up to 30 bits, so that a product of
// two and the sum of two fit; zero and whole numbers are frequent.
func someRatio(r *rand.Rand) Ratio {
	num, den := r.Int64N(1<<r.IntN(31)), int64(1)
	if r.IntN(3) > 0 {
		den = 1 + r.Int64N(1<<r.IntN(31))
	}
	if r.IntN(2) == 0 {
		num = -num
	}
	if r.IntN(2) == 0 {
		den = -den
	}
	return R(num, den)
}

// TestRatioArithmetic holds every operation to math/big. It would catch a lost
// sign, a result not in lowest terms, and a factor taken out twice.
func TestRatioArithmetic(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		a, b := someRatio(r), someRatio(r)
		require.True(t, lowest(a), "%v", a)
		check := func(op string, got Ratio, want *big.Rat) {
			t.Helper()
			require.Zero(t, want.Cmp(rat(got)), "%v %s %v = %v, want %v", a, op, b, got, want)
			require.True(t, lowest(got), "%v %s %v = %v is not in lowest terms", a, op, b, got)
		}
		check("+", a.Add(b), new(big.Rat).Add(rat(a), rat(b)))
		check("-", a.Sub(b), new(big.Rat).Sub(rat(a), rat(b)))
		check("*", a.Mul(b), new(big.Rat).Mul(rat(a), rat(b)))
		if b.Num != 0 {
			check("/", a.Div(b), new(big.Rat).Quo(rat(a), rat(b)))
			require.Equal(t, a, a.Div(b).Mul(b), "%v / %v * %v", a, b, b)
		}
		require.Equal(t, rat(a).Cmp(rat(b)), a.Cmp(b), "%v against %v", a, b)
		want, _ := rat(a).Float64()
		require.Equal(t, want, a.Float64(), "%v as float64", a)

		// ceil(n/d) is -floor(-n/d), and big.Int.Div is the floor for d > 0.
		floor := new(big.Int).Div(big.NewInt(-a.Num), big.NewInt(a.Den))
		require.Equal(t, -floor.Int64(), a.Ceil(), "ceiling of %v", a)
		require.Equal(t, rat(a).RatString(), a.String())
	}
}

// TestRatioFloat64 has numbers beyond the 53 bits of a float64, where dividing
// two rounded integers would round three times.
func TestRatioFloat64(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 5000 {
		a := R(r.Int64()-r.Int64(), 1+r.Int64N(math.MaxInt64))
		want, _ := rat(a).Float64()
		require.Equal(t, want, a.Float64(), "%v", a)
	}
	assert.Equal(t, float64(1<<53), Int(1<<53+1).Float64(), "a tie goes to the even one")
	assert.Equal(t, float64(math.MaxInt64), Int(math.MaxInt64).Float64())
}

func TestRatioForms(t *testing.T) {
	assert.Equal(t, Ratio{-2, 3}, R(4, -6))
	assert.Equal(t, Ratio{2, 3}, R(-4, -6))
	assert.Equal(t, Ratio{0, 1}, R(0, -5))
	assert.Equal(t, Ratio{math.MaxInt64, 1}, R(-math.MaxInt64, -1))
	assert.Equal(t, "-2/3", R(4, -6).String())
	assert.Equal(t, "-7", Int(-7).String())
	assert.EqualValues(t, -1, R(-3, 2).Ceil())
	assert.EqualValues(t, 2, R(3, 2).Ceil())
	assert.EqualValues(t, -2, Int(-2).Ceil())
}

// TestRatioPanics: a result that does not fit must never pass as a wrong one.
func TestRatioPanics(t *testing.T) {
	const most = math.MaxInt64
	tests := []struct {
		name, want string
		do         func()
	}{
		{"denominator 0", "timing: Ratio with denominator 0", func() { R(1, 0) }},
		{"division by 0", "timing: Ratio divided by 0", func() { Int(1).Div(Int(0)) }},
		{"product", "timing: Ratio overflow", func() { Int(1 << 32).Mul(Int(1 << 31)) }},
		{"negative product", "timing: Ratio overflow", func() { Int(-1 << 32).Mul(Int(1 << 31)) }},
		{"product of denominators", "timing: Ratio overflow", func() { R(1, 1<<32).Mul(R(1, 1<<31)) }},
		{"sum", "timing: Ratio overflow", func() { Int(most).Add(Int(1)) }},
		{"negative sum", "timing: Ratio overflow", func() { Int(-most).Add(Int(-2)) }},
		{"sum of the least number", "timing: Ratio overflow", func() { Int(-most).Add(Int(-1)) }},
		{"difference", "timing: Ratio overflow", func() { Int(most).Sub(Int(-1)) }},
		{"common denominator", "timing: Ratio overflow", func() { R(1, most).Add(R(1, most-1)) }},
		{"no opposite, numerator", "timing: Ratio overflow", func() { R(math.MinInt64, -1) }},
		{"no opposite, denominator", "timing: Ratio overflow", func() { R(1, math.MinInt64) }},
		{"no opposite, whole", "timing: Ratio overflow", func() { Int(math.MinInt64) }},
		{"zero value", "timing: Ratio with denominator 0", func() { Int(1).Mul(Ratio{}) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { assert.PanicsWithValue(t, tt.want, tt.do) })
	}
	// The largest that fit.
	assert.Equal(t, Int(most), Int(most-1).Add(Int(1)))
	assert.Equal(t, Int(-most), Int(1-most).Sub(Int(1)))
	assert.Equal(t, Int(most-1), Int((most-1)/2).Mul(Int(2)))
	// Common factors are taken out before multiplying.
	assert.Equal(t, Int(1), R(most, 1<<62-1).Mul(R(1<<62-1, most)))
}
