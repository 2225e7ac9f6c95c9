package timing

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
)

// A Ratio is an exact rational number in lowest terms, Den > 0. The zero
// value is not a number; make one with [R] or [Int].
//
// Arithmetic that does not fit 64 bits panics: every figure of the scanning
// systems fits with room to spare, so an overflow is a programmer's mistake.
type Ratio struct{ Num, Den int64 }

// R returns num/den in lowest terms. It panics if den is 0.
func R(num, den int64) Ratio {
	if den == 0 {
		panic("timing: Ratio with denominator 0")
	}
	if num == math.MinInt64 || den == math.MinInt64 {
		panic("timing: Ratio overflow") // it has no opposite
	}
	if den < 0 {
		num, den = -num, -den
	}
	if g := gcd(abs(num), den); g > 1 {
		num, den = num/g, den/g
	}
	return Ratio{num, den}
}

// Int returns n/1.
func Int(n int64) Ratio { return R(n, 1) }

// Add returns a + b.
func (a Ratio) Add(b Ratio) Ratio {
	g := gcd(a.Den, b.Den)
	return R(sum(mul(a.Num, b.Den/g), mul(b.Num, a.Den/g)), mul(a.Den, b.Den/g))
}

// Sub returns a - b.
func (a Ratio) Sub(b Ratio) Ratio { return a.Add(Ratio{-b.Num, b.Den}) }

// Mul returns a * b. Common factors are taken out before multiplying.
func (a Ratio) Mul(b Ratio) Ratio {
	x, y := R(a.Num, b.Den), R(b.Num, a.Den)
	return Ratio{mul(x.Num, y.Num), mul(x.Den, y.Den)}
}

// Div returns a / b. It panics if b is 0.
func (a Ratio) Div(b Ratio) Ratio {
	switch {
	case b.Num > 0:
		return a.Mul(Ratio{b.Den, b.Num})
	case b.Num < 0:
		return a.Mul(Ratio{-b.Den, -b.Num})
	default:
		panic("timing: Ratio divided by 0")
	}
}

// Cmp returns -1, 0 or +1 as a is below, equal to or above b.
func (a Ratio) Cmp(b Ratio) int {
	return new(big.Rat).SetFrac64(a.Num, a.Den).Cmp(new(big.Rat).SetFrac64(b.Num, b.Den))
}

// Ceil returns the least integer not below a.
func (a Ratio) Ceil() int64 {
	q := a.Num / a.Den
	if a.Num%a.Den > 0 {
		q++
	}
	return q
}

// Float64 returns the nearest float64, rounded once.
func (a Ratio) Float64() float64 {
	const exact = 1 << 53
	if abs(a.Num) <= exact && a.Den <= exact {
		return float64(a.Num) / float64(a.Den)
	}
	f, _ := new(big.Rat).SetFrac64(a.Num, a.Den).Float64()
	return f
}

// String returns "num/den", or "num" for a whole number.
func (a Ratio) String() string {
	if a.Den == 1 {
		return fmt.Sprint(a.Num)
	}
	return fmt.Sprintf("%d/%d", a.Num, a.Den)
}

func abs(n int64) int64 {
	if n < 0 {
		return -n
	}
	return n
}

func gcd(a, b int64) int64 {
	if b == 1 { // whole numbers are frequent
		return 1
	}
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func mul(a, b int64) int64 {
	hi, lo := bits.Mul64(uint64(abs(a)), uint64(abs(b)))
	if hi != 0 || lo > 1<<63-1 {
		panic("timing: Ratio overflow")
	}
	if (a < 0) != (b < 0) {
		return -int64(lo)
	}
	return int64(lo)
}

func sum(a, b int64) int64 {
	s := a + b
	if (s > a) != (b > 0) && b != 0 {
		panic("timing: Ratio overflow")
	}
	return s
}
