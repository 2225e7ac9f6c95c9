package device

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/colorimetry"
)

// A Verdict is whether chroma and phase can be set against a device on one of
// its outputs, and why.
type Verdict struct {
	Wire  *colorimetry.Family
	Still bool // of R'G'B' pictures on a device that turns them into video
	OK    bool
	Words string
	Bars  Bars
}

// Verdicts says of each output, the usual one first, whether chroma and phase
// can be set against the best bars of the device. A device that makes video of
// R'G'B' pictures by the wrong matrix has a second one for those.
func (p *Profile) Verdicts() []Verdict {
	var list []Verdict
	for _, wire := range p.Outputs {
		b := p.BestBars(wire)
		v := b.Verdict()
		list = append(list, v)
		if !p.Pixels() && p.Matrix == Matrix709 && p.readsPictures() && wire.Interface != colorimetry.ComponentRGB {
			b := p.videoBars(wire, true)
			v := b.Verdict()
			v.Still = true
			v.Words = "As R'G'B' pictures, which it turns into video by the matrix of BT.709: " + lowerFirst(v.Words)
			list = append(list, v)
		}
	}
	return list
}

func (p *Profile) readsPictures() bool {
	return slices.Contains(p.Formats, "png") || slices.Contains(p.Formats, "bmp")
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// Verdict says whether chroma and phase can be set against these bars: color on
// a cable that carries it, with chroma and hue of every bar within the limits
// of bars of one amplitude.
func (b *Bars) Verdict() Verdict {
	v := Verdict{Wire: b.Wire, Bars: *b}
	size := fmt.Sprintf("%.1f %%", 100*b.Amplitude)
	if b.Wire.Interface == colorimetry.ComponentRGB {
		v.Words = fmt.Sprintf("Chroma and phase cannot be set on %s: RGB cables carry neither. The gain of the three channels can, by the white bar of %s.", b.Wire.Name, size)
		return v
	}
	faults := b.faults()
	if len(faults) == 0 {
		v.OK = true
		truth := "exactly of one amplitude"
		if b.Worst.Chroma >= 0.05 || b.Worst.Hue >= 0.05 {
			truth = fmt.Sprintf("of one amplitude within %.1f %% of chroma and %.1f degrees of hue", b.Worst.Chroma, b.Worst.Hue)
		}
		v.Words = fmt.Sprintf("Chroma and phase can be set on %s against bars of %s: they are %s.", b.Wire.Name, size, truth)
		if high := b.highest(); high > 1.2*float64(b.Wire.White) {
			v.Words += fmt.Sprintf(" Their highest point is %.0f mV above blanking, which some sets clip.", high)
		}
		return v
	}
	more := ""
	if len(faults) > 3 {
		more = fmt.Sprintf(" (and %d more)", len(faults)-3)
		faults = faults[:3]
	}
	v.Words = fmt.Sprintf("Chroma and phase cannot be set on %s: of the best bars that the device has, nearest to a set of %s, %s%s; the limits are %g %% and %g degree. They show that there is color, and no more.",
		b.Wire.Name, size, strings.Join(faults, ", "), more, LimitChroma, LimitHue)
	return v
}

// faults says what keeps the bars from being a set.
func (b *Bars) faults() (list []string) {
	for _, bar := range b.Bars {
		if bar.Neutral {
			if bar.Error.BeyondChroma(true) {
				list = append(list, fmt.Sprintf("%s has %.1f %s of color", bar.Name, bar.Error.Chroma, Unit(b.Wire)))
			}
			continue
		}
		if bar.Error.BeyondChroma(false) {
			list = append(list, fmt.Sprintf("%s has %+.1f %% of chroma", bar.Name, bar.Error.Chroma))
		}
		if bar.Error.BeyondHue() {
			list = append(list, fmt.Sprintf("%s is %+.1f degrees off in hue", bar.Name, bar.Error.Hue))
		}
	}
	return list
}

// highest is the highest point of the composite signal, mV.
func (b *Bars) highest() float64 {
	high := math.Inf(-1)
	for _, bar := range b.Bars {
		high = max(high, float64(bar.Level.High))
	}
	return high
}
