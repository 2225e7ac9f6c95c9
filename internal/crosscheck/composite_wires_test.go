package crosscheck

import (
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWiresAndScans: which wire carries which scan, all twelve on all eight. A
// wrong pair is an error that names the wire, what the raster has, and the wires
// that fit; a right one makes an encoder.
//
// Setup, and with it the 714 mV levels, belongs to 525 lines (SMPTE 170M; 7.5
// on 625 lines does not exist: ITU-R BT.470-6 table 1), PAL here to 625. N10,
// Betacam at 700 mV and RGB 700 serve both (component_levels.csv).
func TestWiresAndScans(t *testing.T) {
	lines := map[string][]int{
		"composite-m": {525}, "composite-j": {525}, "pal": {625},
		"yc-m": {525}, "yc-j": {525}, "yc-pal": {625},
		"component-n10": {525, 625}, "component-betacam": {525}, "component-betacam-zero": {525}, "component-betacam-700": {525, 625}, "component-mii": {525},
		"rgb-700": {525, 625}, "rgb-714": {525},
	}
	scans := map[*timing.Scan]int{
		timing.Scan525i: 525, timing.Scan262: 525, timing.Scan263: 525, timing.Scan262c228: 525, timing.Scan262c227_33: 525,
		timing.Scan625i: 625, timing.Scan312: 625, timing.Scan313: 625,
	}
	require.Len(t, composite.Wires(), len(lines))
	wrong := 0
	for _, w := range composite.Wires() {
		require.Contains(t, lines, w.Name)
		assert.Same(t, w, composite.Lookup(w.Name))
		for s, system := range scans {
			fits := false
			for _, n := range lines[w.Name] {
				fits = fits || n == system
			}
			e, err := composite.NewEncoder(w, s, composite.Standard)
			if fits {
				require.NoError(t, err, "%s on %s", w.Name, s.Name)
				assert.Same(t, w, e.Wire())
				assert.Len(t, e.Append(nil, flat(0.5, 0, 0)(e.Lattice(0)), 0), len(w.Channels()), "%s on %s", w.Name, s.Name)
				continue
			}
			wrong++
			require.Error(t, err, "%s on %s", w.Name, s.Name)
			assert.Nil(t, e)
			assert.Contains(t, err.Error(), w.Name)
			assert.Contains(t, err.Error(), map[int]string{525: "525/60", 625: "625/50"}[system])
			for name, fit := range lines {
				for _, n := range fit {
					if n == system {
						assert.Contains(t, err.Error(), name, "%s on %s: the wires that fit", w.Name, s.Name)
					}
				}
			}
		}
	}
	assert.Equal(t, 8*3+2*5, wrong)
}
