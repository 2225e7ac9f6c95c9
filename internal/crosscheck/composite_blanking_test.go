package crosscheck

import (
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestBlanking looks at a white picture and finds on every line where it begins
// and ends: full lines, half lines, and the lines that have none.
func TestBlanking(t *testing.T) {
	for _, tt := range brief(2, interlaced) {
		t.Run(tt.wire, func(t *testing.T) {
			t.Parallel()
			table := figuresOf(t, tt.scan)
			h := table.us(t, "line period")
			begin, end := table.us(t, "0H to blanking end"), h-table.us(t, "front porch")
			peak := 100 * ire
			edge, tolerance := 0.140, 20*ns // SMPTE 170M clause 13.1
			full := 242 + 242               // SMPTE 170M figure 6: 21-262 and 284-525
			if tt.scan.System == timing.System625 {
				edge, tolerance, peak = 0.300, 100*ns, 700 // BT.1700 Annex 1 Part B table 2
				full = 287 + 287                           // EBU Tech 3280-E figure 6: 24-310 and 336-622
			}
			r := record(t, tt.wire, tt.scan, composite.Standard, tt.frames, white)[0]
			count := map[string]int{}
			for n := range tt.frames {
				for _, row := range linesOf(t, tt.scan) {
					line := row.Int(t, "line")
					shows := row.Text(t, "picture")
					count[shows]++
					zero := float64(n*tt.scan.Lines+line-1) * h
					// Half lines end and begin half a line from where full ones do:
					// 30.28 and 40.98 us (170M figures), 30.5 and 42.5 us (EBU Tech 3280-E
					// figure 6, and calculated).
					from, to := begin, end
					switch shows {
					case "first half":
						to -= h / 2
					case "second half":
						from += h / 2
					case "blank":
						for i := int(r.index(zero)) + 1; i < int(r.index(zero+h)); i++ {
							// Nothing above blanking but the burst of composite.
							if us := r.us(float64(i)) - zero; us < 4.9 || us > 8.3 {
								require.Less(t, r.sample(i), 0.01, "frame %d line %d at %.2f us", n, line, us)
							}
						}
						continue
					}
					middle := int(r.index(zero + (from+to)/2))
					require.InDelta(t, peak, r.sample(middle), 0.01, "frame %d line %d: white, mV", n, line)
					require.InDelta(t, from, r.us(r.passed(middle, peak/2))-zero, 1*ns, "frame %d line %d: picture begins, us", n, line)
					require.InDelta(t, to, r.us(r.passes(middle, peak/2))-zero, 1*ns, "frame %d line %d: picture ends, us", n, line)
					require.InDelta(t, edge, (r.passed(middle, 0.9*peak)-r.passed(middle, 0.1*peak))/r.mhz, tolerance, "frame %d line %d: first edge, us", n, line)
					require.InDelta(t, edge, (r.passes(middle, 0.1*peak)-r.passes(middle, 0.9*peak))/r.mhz, tolerance, "frame %d line %d: last edge, us", n, line)
				}
			}
			assert.Equal(t, map[string]int{
				"full": full * tt.frames, "first half": tt.frames, "second half": tt.frames,
				"blank": (tt.scan.Lines - full - 2) * tt.frames,
			}, count)
		})
	}
}

// TestBlankingOfEveryChannel: color differences and primaries are blanked where
// luma is.
func TestBlankingOfEveryChannel(t *testing.T) {
	for _, wire := range []string{"component-n10", "rgb-700"} {
		for _, s := range []*timing.Scan{timing.Scan525i, timing.Scan625i} {
			table := figuresOf(t, s)
			h := table.us(t, "line period")
			at := 99 * h // line 100
			tapes := record(t, wire, s, composite.Standard, 1, flat(0.6, 0.25, 0.25))
			for c, r := range tapes {
				middle := int(r.index(at + h/2))
				level := r.sample(middle)
				require.NotZero(t, level)
				assert.InDelta(t, table.us(t, "0H to blanking end"), r.us(r.passed(middle, level/2))-at, 1*ns, "%s channel %d begins", wire, c)
				assert.InDelta(t, h-table.us(t, "front porch"), r.us(r.passes(middle, level/2))-at, 1*ns, "%s channel %d ends", wire, c)
			}
		}
	}
}

// TestSyncChannel: sync stands on Y of Y/C and component, on G of RGB, and
// nowhere else.
func TestSyncChannel(t *testing.T) {
	for _, w := range composite.Wires() {
		s := timing.Scan525i
		if w.Family.Lines == 625 {
			s = timing.Scan625i
		}
		sync := -40 * ire // where white is 100 IRE (SMPTE 170M table 1; component MII and Betacam without setup memory)
		switch w.Name {
		case "pal", "yc-pal", "component-n10", "component-betacam-700", "rgb-700":
			sync = -300 // where white is 700 mV (ITU-R BT.1700 Annex 1 Part B table 2)
		}
		for c, r := range record(t, w.Name, s, composite.Standard, 1, flat(0.5, 0.1, 0.1)) {
			want := 0.0
			if name := w.Channels()[c]; name == "Y" || name == "CVBS" || name == "G" {
				want = sync
			}
			assert.InDelta(t, want, r.sample(int(r.index(99*s.LinePeriod().Float64()+2.3))), 0.01, "%s channel %s", w.Name, w.Channels()[c])
		}
	}
}
