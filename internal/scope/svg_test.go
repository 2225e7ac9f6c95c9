package scope

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSVG: well formed, not too large, and lines where there are few of them.
func TestSVG(t *testing.T) {
	for _, tt := range []struct {
		wire  string
		scan  *timing.Scan
		view  View
		lines bool
	}{
		{"composite-m", timing.Scan525i, Line, true}, {"composite-m", timing.Scan525i, Lines, true}, {"composite-m", timing.Scan525i, Field, false},
		{"composite-m", timing.Scan525i, Vector, false}, {"pal", timing.Scan625i, Lines, false}, {"pal", timing.Scan625i, Vector, false},
		{"rgb-700", timing.Scan625i, Parade, true},
	} {
		t.Run(tt.wire+" "+tt.view.String(), func(t *testing.T) {
			if testing.Short() && tt.scan == timing.Scan625i {
				t.Skip("as on 525 lines")
			}
			p, err := Draw(standard(t, tt.wire, tt.scan, 0.75), Options{View: tt.view, Title: `bars & <"more">`})
			require.NoError(t, err)
			var b bytes.Buffer
			require.NoError(t, p.WriteSVG(&b))
			t.Logf("%d bytes", b.Len())
			assert.Less(t, b.Len(), 1_000_000)
			assert.Equal(t, tt.lines, strings.Contains(b.String(), "clip-path"), "a trace of lines")
			d := xml.NewDecoder(&b)
			title := false
			for {
				token, err := d.Token()
				if errors.Is(err, io.EOF) {
					break
				}
				require.NoError(t, err)
				if text, ok := token.(xml.CharData); ok {
					title = title || string(text) == `bars & <"more">`
				}
			}
			assert.True(t, title)
		})
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("cable pulled") }

func TestSVGPassesErrors(t *testing.T) {
	p, err := Draw(standard(t, "composite-m", timing.Scan525i, 0.75), Options{})
	require.NoError(t, err)
	assert.EqualError(t, p.WriteSVG(failing{}), "cable pulled")
}

// TestStraighten: what is left out lies on the lines that stay.
func TestStraighten(t *testing.T) {
	in := []point{{0, 0}, {256, 100}, {512, 200}, {768, 300}, {1024, 300}, {1280, 300}, {1280, 2000}, {1400, 2000}}
	assert.Equal(t, []point{{0, 0}, {768, 300}, {1280, 300}, {1280, 2000}, {1400, 2000}}, straighten(in))
	assert.Equal(t, in[:2], straighten(in[:2]))
	w := standard(t, "composite-m", timing.Scan525i, 0.75)
	s, err := newSetUp(w, Options{})
	require.NoError(t, err)
	c := scale{perSample: 230, perMV: 110, zero: 100000}
	paths, _, _ := c.trace(s.lineStretches(0, s.lines()))
	for _, p := range paths {
		q := straighten(p)
		assert.Less(t, len(q), len(p))
		k := 0
		for _, a := range p { // sweeps go to the right
			for k+2 < len(q) && q[k+1].x < a.x {
				k++
			}
			from, to := q[k], q[k+1]
			if to.x > from.x {
				y := float64(from.y) + float64(to.y-from.y)*float64(a.x-from.x)/float64(to.x-from.x)
				require.InDelta(t, y, float64(a.y), 60, "at %d", a.x)
			}
		}
	}
}

func BenchmarkScope(b *testing.B) {
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
	}{{"composite-m", timing.Scan525i}, {"pal", timing.Scan625i}, {"component-n10", timing.Scan625i}} {
		for v := range numViews {
			if v == Parade && tt.wire != "component-n10" {
				continue
			}
			b.Run(v.String()+"/"+tt.wire, func(b *testing.B) {
				e, err := composite.NewEncoder(composite.Lookup(tt.wire), tt.scan, composite.Standard)
				require.NoError(b, err)
				f := barsOn(e.Lattice(0), 0.75)
				b.ReportAllocs()
				for b.Loop() { // with encoding
					e, _ := composite.NewEncoder(composite.Lookup(tt.wire), tt.scan, composite.Standard)
					w := &composite.Wave{Wire: e.Wire(), Timebase: e.Timebase(), Frames: 1, Samples: e.Append(nil, f, 0)}
					p, err := Draw(w, Options{View: v})
					require.NoError(b, err)
					p.Image()
				}
			})
		}
	}
}
