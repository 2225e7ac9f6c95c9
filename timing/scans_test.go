package timing

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// With the offset a line is 64 us (ITU-R BT.1700 Annex 1 Part B table 1: line
// frequency 15 625 Hz), and the subcarrier a quarter cycle a line plus 25 Hz
// (BT.470-6 table 2 item 2.11 a: 1135/4 + 1/625).
func TestOffset25Hz(t *testing.T) {
	for _, plain := range []*Scan{Scan312, Scan313} {
		s := plain.Offset25Hz()
		require.NotNil(t, s)
		assert.Equal(t, Int(64), s.LinePeriod())
		assert.Equal(t, R(1, 625), s.Cycles.Sub(plain.Cycles))
		assert.Equal(t, Int(25), s.Cycles.Sub(plain.Cycles).Mul(s.LineRate()))
		assert.Equal(t, plain.Lines, s.Lines)
		assert.Nil(t, s.Offset25Hz())
		assert.Same(t, s, LookupScan(s.Name))
	}
	assert.Nil(t, Scan625i.Offset25Hz())
	assert.Nil(t, Scan262.Offset25Hz())
}

// Every scan that a raster is laid on is found by its name.
func TestLookupScan(t *testing.T) {
	for _, r := range Rasters() {
		assert.Same(t, r.Scan, LookupScan(r.Scan.Name), r.Name)
	}
	assert.Nil(t, LookupScan("625p"))
}
