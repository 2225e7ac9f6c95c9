package scope

import (
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNames(t *testing.T) {
	for _, n := range ViewNames() {
		v, err := ParseView(n)
		require.NoError(t, err)
		assert.Equal(t, n, v.String())
	}
	_, err := ParseView("sideways")
	assert.EqualError(t, err, `unknown view "sideways"; use line, lines, field, parade, vector`)
	_, err = ParseUnits("volts")
	assert.EqualError(t, err, `unknown units "volts"; use ire or mv`)
	assert.Equal(t, "View(9)", View(9).String())
}

func TestRefused(t *testing.T) {
	m := standard(t, "composite-m", timing.Scan525i, 0.75)
	n10 := standard(t, "component-n10", timing.Scan525i, 0.75)
	pal := standard(t, "pal", timing.Scan625i, 0.75)
	tests := []struct {
		name string
		w    *composite.Wave
		o    Options
		want string
	}{
		{"frame", m, Options{Frame: 1}, "the wave has no frame 1; its frames count from 0 to 0"},
		{"line", m, Options{Line: 526}, "there is no line 526; 525i has lines 1 to 525"},
		{"line of a field", m, Options{Line: 300, Field: 1}, "line 300 lies in field 2 and not in 1; leave one of them out"},
		{"line in a field view", m, Options{View: Field, Line: 20}, "the field view shows all lines of a field; leave line 20 out, or use the line view"},
		{"field", m, Options{Field: 3}, "there is no field 3; 525i has 2 in a frame"},
		{"parade of one", m, Options{View: Parade}, "composite-m is one signal and a parade needs several; use the lines view, or a Y/C, component or RGB wire"},
		{"channel of all", n10, Options{View: Parade, Channel: "PB"}, "the parade view takes all signals of the wire; leave out the channel PB"},
		{"channel", n10, Options{Channel: "U"}, `component-n10 has no channel "U"; use Y, PB, PR`},
		{"IRE", pal, Options{Units: IRE}, "white is 700 mV on pal, which is not 100 IRE; use mv"},
		{"targets", m, Options{View: Vector, Targets: 90}, "targets for 90 % bars are not drawn; use 75 or 100"},
		{"width", m, Options{Width: 100}, "a picture of 100 pixels across cannot be; use 240 to 4000"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Draw(tt.w, tt.o)
			assert.EqualError(t, err, tt.want)
		})
	}
}

// TestEveryView draws all that can be drawn; half lines and lines of the
// vertical interval too.
func TestEveryView(t *testing.T) {
	for _, w := range composite.Wires() {
		for _, s := range []*timing.Scan{timing.Scan525i, timing.Scan625i, timing.Scan262c227_33, timing.Scan313} {
			if w.Check(s) != nil || testing.Short() && (!s.Interlaced() || w.Kind == composite.YC) {
				continue
			}
			signal := standard(t, w.Name, s, 1)
			for v := range numViews {
				for _, line := range []int{0, 1, 23, s.Lines} {
					o := Options{View: v, Line: line, Width: 300}
					if testing.Short() && line > 1 || v == Parade && len(w.Channels()) == 1 || line != 0 && v != Line && v != Vector {
						continue
					}
					p, err := Draw(signal, o)
					require.NoError(t, err, "%s %s %v", w.Name, s.Name, v)
					assert.NotContains(t, p.Notes, "Inf", "%s %s %v", w.Name, s.Name, v)
					assert.NotContains(t, p.Notes, "NaN", "%s %s %v", w.Name, s.Name, v)
					if line == 0 {
						assert.Equal(t, 300, p.Image().Rect.Dx())
					}
				}
			}
		}
	}
}
