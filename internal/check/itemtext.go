package check

import (
	"fmt"
	"math"
	"strings"
)

// text is what was measured as a person reads it.
func (i *Item) text(l *Limit) string {
	if i.Quantity == BelowBlack || i.Quantity == AboveWhite {
		if i.Value > 0 {
			return "cut"
		}
		return "kept"
	}
	form := "%+.*f"
	switch i.Quantity {
	case Steps, Difference, Noise, Bandwidth, ChromaBandwidth, Sharpening:
		form = "%.*f"
	}
	s := fmt.Sprintf(form, l.Decimals, zero(i.Value, l.Decimals))
	if i.AtLeast {
		s = "at least " + s
	}
	if i.Sigma > 0 && i.Sigma >= 0.5*math.Pow(10, -float64(l.Decimals)) {
		s += fmt.Sprintf(" (s %.*f)", l.Decimals, i.Sigma)
	}
	return strings.TrimSpace(s + " " + l.Unit)
}

// zero takes the sign from what rounds to nothing.
func zero(v float64, decimals int) float64 {
	if math.Abs(v) < 0.5*math.Pow(10, -float64(decimals)) {
		return 0
	}
	return v
}
