package pattern

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// Bounce is a level that changes between two in time or, as field-frequency
// square wave, down the picture.
type Bounce struct {
	Low, High float64 // per cent
	Period    string  // of both levels together: frames, or seconds with an s behind
	Shape     string  // square: in time; field: upper half low, lower half high
	Area      string  // full or window
	Fast      bool    // more than maxChanges a second are wanted
}

// maxChanges is how many times a second the level may change unless it is
// asked for. General flash limits, such as those for web pages and broadcast
// pictures (ITU-R BT.1702), allow three flashes, six changes, a second
// (memory); half of that is on the safe side.
const maxChanges = 3

// Limits of the period.
const (
	maxBounceFrames  = 1000
	maxBounceSeconds = 20
)

const bouncePeriods = "2 to 1000 frames, even, as in 30, or seconds up to 20, as in 1s"

// parseBounce reads a period; one of the results is 0.
func parseBounce(text string) (frames int, seconds float64, err error) {
	if number, ok := strings.CutSuffix(strings.ToLower(text), "s"); ok {
		seconds, err = strconv.ParseFloat(number, 64)
		if err != nil || !(seconds > 0 && seconds <= maxBounceSeconds) {
			return 0, 0, fmt.Errorf("%q is not %s", text, bouncePeriods)
		}
		return 0, seconds, nil
	}
	frames, err = strconv.Atoi(text)
	if err != nil || frames < 2 || frames > maxBounceFrames || frames%2 != 0 {
		return 0, 0, fmt.Errorf("%q is not %s", text, bouncePeriods)
	}
	return frames, 0, nil
}

// half returns how many whole frames each level lasts, so that no frame holds
// a change.
func (p *Bounce) half(s *timing.Scan) (int, error) {
	frames, seconds, err := parseBounce(p.Period)
	if err != nil {
		return 0, fmt.Errorf("period: %w", err)
	}
	half := frames / 2
	if seconds > 0 {
		half = max(1, int(math.Round(seconds*s.FrameRate().Float64()/2)))
	}
	rate := s.FrameRate()
	if !p.Fast && rate.Cmp(timing.Int(int64(maxChanges*half))) > 0 {
		least := 2 * int(rate.Div(timing.Int(maxChanges)).Ceil())
		return 0, fmt.Errorf("period: %d frames change the level %.1f times a second; more than %d can set off seizures in people with photosensitive epilepsy; use %d frames or more, or fast=true if all who can see the screen agree",
			2*half, rate.Float64()/float64(half), maxChanges, least)
	}
	return half, nil
}

// Scene implements Pattern.
func (p *Bounce) Scene(v View) (*Scene, error) {
	if !(p.Low < p.High) {
		return nil, fmt.Errorf("low: %v %% is not below high, %v %%; use a lower one", p.Low, p.High)
	}
	half, err := p.half(v.Shown.Scan)
	if err != nil && p.Shape != "field" {
		return nil, err
	}
	low, absentLow := v.reach(colorimetry.Gray(p.Low / 100))
	high, absentHigh := v.reach(colorimetry.Gray(p.High / 100))
	x0, x1, y0, y1 := v.across(0), v.across(1), v.down(0), v.down(1)
	if p.Area == "window" {
		x0, x1, y0, y1 = v.across(1.0/4), v.across(3.0/4), v.down(1.0/4), v.down(3.0/4)
	}
	// Without a window the levels go on outside the picture shown.
	inside := func(level colorimetry.Signal) row {
		if p.Area != "window" {
			return row{First: level}
		}
		return v.tileRow(low, []tile{{X0: x0, X1: x1, To: level}})
	}
	s := &Scene{Period: 1}
	if p.Area == "window" {
		s.Bands = append(s.Bands, row{First: low}.band(y0))
		s.Patches = append(s.Patches, area("surround above", v.across(0), v.down(0), v.across(1), y0, low, absentLow),
			area("surround below", v.across(0), y1, v.across(1), v.down(1), low, absentLow))
	}
	if p.Shape == "field" {
		middle := v.down(1.0 / 2)
		s.Bands = append(s.Bands, inside(low).band(middle), inside(high).band(y1))
		s.Patches = append(s.Patches, area("upper half", x0, y0, x1, middle, low, absentLow), area("lower half", x0, middle, x1, y1, high, absentHigh))
	} else {
		s.Period = 2 * half
		bright, dark := inside(high), inside(low)
		fields := half * v.Shown.Scan.Fields
		s.Bands = append(s.Bands, timed(y1, func(t int) row {
			if t/fields%2 == 0 {
				return bright
			}
			return dark
		}))
		s.Patches = append(s.Patches, Patch{Name: "changing level", Kind: Changing, Absent: absentHigh, X0: x0, Y0: y0, X1: x1, Y1: y1, Want: high, To: low})
		s.Notes = p.notes(v, half)
	}
	if p.Area == "window" {
		s.Bands = append(s.Bands, row{First: low}.band(endless))
	}
	endsAt(s.Bands)
	return s, nil
}

// notes say how fast it is and whom it can harm.
func (p *Bounce) notes(v View, half int) []string {
	rate := v.Shown.Scan.FrameRate().Float64()
	changes := rate / float64(half)
	caution := stillFlashes
	if changes > maxChanges {
		caution = fmt.Sprintf("CAUTION: %.1f changes a second are more than %d. ", changes, maxChanges) + stillFlashes
	}
	return []string{caution,
		fmt.Sprintf("Each level lasts %d frames, %.3f s: %.2f changes a second; the picture repeats after %d frames, %.3f s. It begins with the high level; a file of one picture holds one of the two.",
			half, float64(half)/rate, changes, 2*half, float64(2*half)/rate),
		"Size, position and black level of a sound set stay the same at both levels; what pumps shows the regulation of its supplies, and what drifts its DC restoration.",
	}
}

// stillFlashes is the caution for flashing pictures.
const stillFlashes = "Flashing pictures can set off seizures in people with photosensitive epilepsy, also in some who do not know that they have it: warn all who can see the screen, look away or stop at the first discomfort, and follow local codes."

var bounceEntries = []Entry{{
	Name: "bounce", Group: GroupTime,
	Use:     "regulation and DC restoration: the level of the whole picture, or of a window, jumps; or half of every field is bright, for tilt at field rate",
	Source:  "EBU Tech 3209 clause 6.2.2 (black and white 1:1, period 1 to 10 s); ITU-R BT.1439 figure 3 (half of a field low, half high)",
	Example: "backporch render bounce --period 2s --seconds 20 -o bounce.y4m",
	Still:   stillFlashes,
	Flashes: true,
	New: func() (Pattern, []*Option) {
		p := &Bounce{Low: 0, High: 100, Period: "1s", Shape: "square", Area: "full"}
		return p, []*Option{
			number("low", &p.Low, 0, 100, "per cent", "the lower level"),
			number("high", &p.High, 0, 100, "per cent", "the higher level"),
			spelled("period", &p.Period, bouncePeriods, "time of both levels together; seconds become the nearest even number of frames",
				func(s string) error { _, _, err := parseBounce(s); return err }),
			choice("shape", &p.Shape, "square: the level changes in time; field: it stands, low in the upper half and high in the lower", "square", "field"),
			choice("area", &p.Area, "what changes; about a window the low level stays", "full", "window"),
			toggle("fast", &p.Fast, fmt.Sprintf("allow more than %d changes a second", maxChanges)),
		}
	},
}}
