package composite

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"backporch/timing"
)

// TestSequence: 4 fields of 525 lines and 8 of 625 (SMPTE 170M clause 13.2,
// ITU-R BT.470-6 item 2.16); without a subcarrier every frame is the same, also
// at 288p, whose line is then 64 us exactly.
func TestSequence(t *testing.T) {
	for _, tt := range []struct {
		wire   string
		scan   *timing.Scan
		frames int
		line   timing.Ratio
	}{
		{"composite-m", timing.Scan525i, 2, timing.Int(910)},
		{"pal", timing.Scan625i, 4, timing.R(709_379, 625)},
		{"composite-j", timing.Scan262, 1, timing.Int(910)},
		{"composite-j", timing.Scan262c227_33, 3, timing.R(2728, 3)},
		{"pal", timing.Scan312, 1, timing.Int(1135)},
		{"pal", timing.Scan312offset, 625, timing.R(709_379, 625)},
		{"component-n10", timing.Scan525i, 1, timing.Int(1716)},
		{"component-n10", timing.Scan312, 1, timing.Int(1728)},
		{"rgb-700", timing.Scan313, 1, timing.Int(1728)},
	} {
		w := Lookup(tt.wire)
		assert.Equal(t, tt.frames, w.Sequence(tt.scan), "%s on %s", tt.wire, tt.scan.Name)
		assert.Equal(t, tt.line, w.Timebase(tt.scan).SamplesPerLine(), "%s on %s", tt.wire, tt.scan.Name)
	}
}
