package device

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"

	"backporch/timing"
)

// clockUnits are the units of a clock, in Hz; those of fsc and fH depend on the
// system.
var clockUnits = []struct {
	name string
	hz   int64
}{{"Hz", 1}, {"kHz", 1000}, {"MHz", 1_000_000}}

// ParseClock reads a clock exactly: "315/88 MHz", "21477272.7 Hz", "6 fsc" of the
// subcarrier, "1365 fH" of the line rate of the interlaced system.
func ParseClock(text string, s *timing.System) (hz timing.Ratio, err error) {
	number, unit, ok := strings.Cut(strings.TrimSpace(text), " ")
	unit = strings.TrimSpace(unit)
	if !ok || number == "" {
		return hz, fmt.Errorf(`%q has no unit; write it as "315/88 MHz", "21477272.7 Hz", "6 fsc" or "1365 fH"`, text)
	}
	n, err := parseRatio(number)
	if err != nil {
		return hz, fmt.Errorf("%q: %w", text, err)
	}
	var of timing.Ratio
	switch {
	case strings.EqualFold(unit, "fsc"):
		of = s.Subcarrier
	case strings.EqualFold(unit, "fH"):
		of = lineRate(s)
	default:
		for _, u := range clockUnits {
			if strings.EqualFold(u.name, unit) {
				of = timing.Int(u.hz)
			}
		}
		if of == (timing.Ratio{}) {
			return hz, fmt.Errorf("%q: unknown unit %q; use Hz, kHz, MHz, fsc (the subcarrier) or fH (the line rate)", text, unit)
		}
	}
	err = exactly(func() error { hz = n.Mul(of); return nil })
	if err != nil {
		return hz, fmt.Errorf("%q: %w", text, err)
	}
	if f := hz.Float64(); f < 1e6 || f > 1e9 {
		return hz, fmt.Errorf("%q is %.6g MHz; use 1 to 1000 MHz", text, f/1e6)
	}
	return hz, nil
}

// parseRatio reads "6", "3/2" or "21477272.7", exactly.
func parseRatio(text string) (timing.Ratio, error) {
	none := timing.Ratio{}
	if strings.Trim(text, "0123456789./") != "" || len(text) > 24 {
		return none, fmt.Errorf(`%q is no number such as 6, 3/2 or 21477272.7`, text)
	}
	for _, part := range strings.Split(text, "/") {
		if part == "" {
			return none, fmt.Errorf(`%q is no number such as 6, 3/2 or 21477272.7`, text)
		}
	}
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		return none, fmt.Errorf(`%q is no number such as 6, 3/2 or 21477272.7`, text)
	}
	if !r.Num().IsInt64() || !r.Denom().IsInt64() {
		return none, errTooLong
	}
	return timing.R(r.Num().Int64(), r.Denom().Int64()), nil
}

// errTooLong is for figures that exact arithmetic on 64 bits cannot hold.
var errTooLong = errors.New("the figures have too many digits to be worked with exactly; write it as a multiple of fsc or fH, or as a short fraction")

// exactly runs f, and returns an error where its figures do not fit.
func exactly(f func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			if s, ok := r.(string); ok && strings.HasPrefix(s, "timing: Ratio overflow") {
				err = errTooLong
				return
			}
			panic(r)
		}
	}()
	return f()
}

// probe works out what others will ask of a raster, so that figures that do not
// fit are found here.
func probe(r *timing.Raster) error {
	return exactly(func() error {
		for j := range r.Lines {
			r.Comb(j)
			r.Span(j)
		}
		r.Window()
		r.TimeOf(timing.Int(int64(r.Width)))
		r.ShapeOn(timing.R(16, 9))
		r.SamplesPerLine()
		r.Scan.LinePeriod()
		r.Scan.FieldRate()
		// Of the signal at 4 fsc and at 27 MHz: samples of a line and of a frame.
		for _, clock := range []timing.Ratio{r.Scan.System.Subcarrier.Mul(timing.Int(4)), timing.Int(27_000_000)} {
			w := *r
			w.Free, w.Clock, w.Start = true, clock, timing.R(1, 2)
			w.SamplesPerLine().Mul(timing.Int(int64(4 * r.Scan.Lines)))
			for j := range w.Lines {
				w.Comb(j)
			}
		}
		return nil
	})
}

// nearClock names the simple multiple of fsc or fH that a clock in Hz is all but
// equal to, within two parts in a million, or "".
func nearClock(hz timing.Ratio, s *timing.System) string {
	for _, u := range []unit{unitFsc, unitFH} {
		times := hz.Float64() / u.of(s).Float64()
		for den := 1.0; den <= 8; den++ {
			num := math.Round(times * den)
			if off := math.Abs(times*den/num - 1); num > 0 && off > 0 && off < 2e-6 {
				return fmt.Sprintf("%s %s", timing.R(int64(num), int64(den)), u.name)
			}
		}
	}
	return ""
}

// enoughDigits is from how many digits on a decimal number is taken for the
// rounding of a simple multiple.
const enoughDigits = 6

// rounded reports whether a clock written as a decimal number in Hz, kHz or MHz
// is exact when rounded to its last digit: 21477272.7 Hz is how 6 fsc is
// written, which no decimal number is.
func rounded(text string, exact timing.Ratio, s *timing.System) bool {
	number, unit, _ := strings.Cut(strings.TrimSpace(text), " ")
	whole, decimals, ok := strings.Cut(number, ".")
	if !ok || len(strings.TrimLeft(whole, "0"))+len(decimals) < enoughDigits {
		return false
	}
	for _, u := range clockUnits {
		if !strings.EqualFold(u.name, strings.TrimSpace(unit)) {
			continue
		}
		want, err := ParseClock(text, s)
		half := float64(u.hz) * math.Pow10(-len(decimals)) / 2
		return err == nil && math.Abs(want.Float64()-exact.Float64()) <= half*(1+1e-9)
	}
	return false
}
