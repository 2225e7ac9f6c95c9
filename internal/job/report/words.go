package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"backporch/internal/job"
)

func contains(list []string, s string) bool { return slices.Contains(list, s) }

// trimmed is a number with that many decimals, without a negative zero.
func trimmed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}

// rounded is the number that is printed.
func rounded(v float64, decimals int) float64 {
	f, err := strconv.ParseFloat(trimmed(v, decimals), 64)
	if err != nil {
		return v
	}
	return f
}

// value is a finding as it is printed, with its unit.
func (j *Judged) value() string {
	if j == nil {
		return "-"
	}
	if j.Text != "" {
		return j.Text
	}
	return withUnit(trimmed(j.Value, j.Decimals), j.Unit)
}

// figure is a finding without its unit.
func (j *Judged) figure() string {
	switch {
	case j == nil:
		return "-"
	case j.Text != "":
		return j.Text
	}
	return trimmed(j.Value, j.Decimals)
}

// shared is a finding beside another of its unit, which the other has; a ratio
// is written in full.
func (j *Judged) shared() string {
	if j != nil && strings.HasPrefix(j.Unit, ":") {
		return j.value()
	}
	return j.figure()
}

func withUnit(v, unit string) string {
	switch {
	case unit == "" || strings.HasPrefix(unit, ":"):
		return v + unit
	}
	return v + " " + unit
}

// plain is a bound without the digits that come of arithmetic: 99 for
// 99.00000000000001.
func plain(v float64) float64 {
	f, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if err != nil {
		return v
	}
	return f
}

// bounds are a tolerance in words.
func bounds(min, max *float64, unit string) string {
	n := func(v float64) string { return strconv.FormatFloat(plain(v), 'f', -1, 64) }
	for _, v := range []*float64{max, min} { // the last number that is printed
		if v != nil {
			if unit == "degrees" && math.Abs(plain(*v)) == 1 {
				unit = "degree"
			}
			break
		}
	}
	switch {
	case min == nil && max == nil:
		return ""
	case min == nil:
		return "up to " + withUnit(n(*max), unit)
	case max == nil:
		return "at least " + withUnit(n(*min), unit)
	case *min == -*max:
		return "within " + withUnit(n(*max), unit)
	}
	return n(*min) + " to " + withUnit(n(*max), unit)
}

// verdict is what a finding is called beside its tolerance.
func (j *Judged) verdict() string {
	switch {
	case j == nil:
		return ""
	case j.Out:
		return "OUT"
	case j.Untold:
		return "cannot be told"
	case j.Min == nil && j.Max == nil && j.Text == "":
		return ""
	}
	return "within"
}

// readVerdict is the same where a reading may be missing.
func (j *Judged) readVerdict() string {
	if j == nil {
		return "not read"
	}
	return j.verdict()
}

// day, minute and clock are times as people read them; the zone is told once.
func day(t time.Time) string { return t.UTC().Format("2006-01-02") }

func minute(t time.Time) string { return t.UTC().Format("2006-01-02 15:04") }

func clock(t time.Time) string { return t.UTC().Format("15:04") }

// days are a span of days, once where it is one.
func days(from, to time.Time) string {
	if day(from) == day(to) {
		return day(from)
	}
	return day(from) + " to " + day(to)
}

// whatTitle names a kind of measurement.
func whatTitle(w job.What) string {
	switch w {
	case job.WhatGray:
		return "Gray steps"
	case job.WhatGuns:
		return "Light of the guns"
	case job.WhatUniformity:
		return "Uniformity of white"
	case job.WhatGeometry:
		return "Geometry"
	case job.WhatConvergence:
		return "Convergence"
	case job.WhatPurity:
		return "Purity"
	case job.WhatFocus:
		return "Focus"
	case job.WhatChroma:
		return "Chroma"
	case job.WhatRegulation:
		return "Regulation of the high voltage"
	case job.WhatSource:
		return "The source"
	}
	return string(w)
}

// title of a result, with its input.
func (r *Result) title() string {
	t := whatTitle(r.M.What)
	if r.M.Input != "" {
		t += " (" + r.M.Input + ")"
	}
	return t
}

// outcomeWords name how a step ended.
func outcomeWords(o job.Outcome) string {
	switch o {
	case job.OutcomeOK:
		return "in order"
	case job.OutcomeOut:
		return "out of tolerance"
	case job.OutcomeCannot:
		return "cannot be done on this set"
	case job.OutcomeSkip:
		return "left out"
	}
	return string(o)
}

// plural is "1 reading" or "3 readings", "2 entries".
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	if y, ok := strings.CutSuffix(one, "ry"); ok {
		return fmt.Sprintf("%d %sries", n, y)
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// sentence ends with a period and begins with a capital.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// rms adds deviations that are independent.
func rms(a, b float64) float64 { return math.Hypot(a, b) }
