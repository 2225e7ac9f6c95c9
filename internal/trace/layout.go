package trace

import "backporch/timing"

// A layout is where on a line things stand, us after 0H.
type layout struct {
	period                float64
	fsc                   float64 // MHz
	syncEnd               float64
	burstFrom, burstTo    float64
	porchFrom, porchTo    float64 // where blanking is measured, behind the burst
	pictureFrom, frontFor float64 // end of blanking; front porch before the next 0H
}

// layoutOf returns the layout of a scan: SMPTE 170M table 2; ITU-R BT.1700
// Annex 1 Part B table 2 and, for the front porch, BT.470-6 table 1-1.
// Blanking is measured where neither the burst nor a picture that begins half a
// microsecond early reaches.
func layoutOf(s *timing.Scan) layout {
	l := layout{period: s.LinePeriod().Float64(), fsc: s.System.Subcarrier.Float64() / 1e6, syncEnd: 4.7, frontFor: 1.5}
	if s.System == timing.System525 {
		l.burstFrom, l.burstTo = 19/l.fsc, 28/l.fsc
		l.pictureFrom = 9.2
		l.porchFrom, l.porchTo = 8.1, 8.8
		return l
	}
	l.burstFrom, l.burstTo = 5.6, 5.6+10/l.fsc
	l.pictureFrom = 10.5
	l.porchFrom, l.porchTo = 8.2, 9.6
	return l
}

// pictureTo is where the picture ends.
func (l layout) pictureTo() float64 { return l.period - l.frontFor }
