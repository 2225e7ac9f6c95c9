package wavefile

import (
	"fmt"

	"backporch/internal/composite"
	"backporch/timing"
)

// What the description says in words.
const (
	origin     = "sample 0 of every channel is the first at or after 0H of line 1 of color field 1; 0H is the 50 % point of the leading edge of sync"
	noteLoop   = "the last sample is followed by the first: the file loops without a seam"
	noteLevels = "levels are those at a 75 ohm termination; without it they are twice as high"
)

// encoding says how the words of a format lie.
func encoding(format string) string {
	switch format {
	case WAV:
		return "RIFF/WAVE, PCM, 16 bits signed, little-endian, channels in turn"
	case S16:
		return "words of 16 bits, signed, little-endian, channels in turn; no header"
	default:
		return "words of 16 bits, little-endian, each a 10-bit code, not shifted, channels in turn; no header"
	}
}

func bandName(b composite.Band) string {
	switch b {
	case composite.Narrow:
		return "narrow"
	case composite.Unlimited:
		return "none"
	default:
		return "wide"
	}
}

// Describe returns the description of the file of that name, once it has been
// written.
func (j *Job) Describe(name string, d Written) *Meta {
	scan, family := j.base.Scan, j.Wire.Family
	m := &Meta{
		Schema: Schema, Program: j.Program, File: name, Bytes: j.Size(), SHA256: d.SHA256,
		Format: j.Format, Encoding: encoding(j.Format),
		Pattern: j.Pattern, Raster: j.Raster, Aspect: j.Aspect, Setup: j.Setup, Player: j.Player,
		Wire: j.Wire.Name,
		Levels: Levels{round(float64(family.Black), 3), round(float64(family.White), 3), round(float64(family.Sync), 3),
			round(float64(family.Burst), 3), round(float64(family.Chroma), 3)},
		System: scan.System.Name, Scan: scan.Name, Lines: scan.Lines, Fields: scan.Fields, LineRate: scan.LineRate().String(),
		Rate: j.base.Rate.String(), SamplesPerLine: j.base.SamplesPerLine().String(),
		SamplesPerFrame: j.base.SamplesPerLine().Mul(timing.Int(int64(scan.Lines))).String(),
		Samples:         j.samples(), Frames: j.Frames, Sequence: j.sequence, Seconds: round(j.Seconds(), 6),
		Origin: origin, After: j.base.Start.String(), ColorField: 1, Termination: 75,
		Notes: append([]string{noteLoop, noteLevels}, j.Notes...),
	}
	if j.Format == WAV {
		m.RateInFile = int64(wholeRate(j.base))
		m.RateError = round((timing.Int(m.RateInFile).Div(j.base.Rate).Sub(timing.Int(1))).Float64()*1e6, 4)
	}
	if j.Wire.Subcarrier() {
		m.Carrier = &Carrier{Frequency: scan.System.Subcarrier.String(), Cycles: scan.Cycles.String(), Band: bandName(j.Options.Band),
			Burst: round(100*j.Options.Burst, 3), Gain: round(100*j.Options.ChromaGain, 3)}
	}
	for c, s := range j.scales {
		ch := Channel{Name: j.Wire.Channels()[c], PerCode: 1 / s.PerMillivolt, Zero: s.Zero, Lowest: s.Lowest, Highest: s.Highest}
		if d.Clipped != nil {
			ch.Clipped = d.Clipped[c]
		}
		m.Channels = append(m.Channels, ch)
		if swings(ch.Name) && j.Format == U16 {
			m.Notes = append(m.Notes, fmt.Sprintf("%s swings about code %d; its scale is that of %s", ch.Name, ch.Zero, j.Wire.Channels()[0]))
		}
	}
	return m
}
