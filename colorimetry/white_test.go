package colorimetry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWhitesOffTheLocus: published and computed places of kelvin with MPCD, by
// functions of 1 nm; those of 5 nm are 0.07 MPCD away, which is 6e-5 in y.
func TestWhitesOffTheLocus(t *testing.T) {
	tests := []struct {
		text, name, title string
		want              XY
		within            float64
		source            string
	}{
		{"blackbody:6504+8", "blackbody:6504+8", "6504 K black body + 8 MPCD (CIE 1960)", XY{.31271, .32899}, 7e-5, "calc; D65 is .3127 .3290"},
		{"blackbody:9300+8", "blackbody:9300+8", "9300 K black body + 8 MPCD (CIE 1960)", XY{.28305, .29721}, 1.1e-4, "calc; .2831 .2971 by a report of 1979 (secondary)"},
		{"BlackBody: 9300K+27MPCD", "blackbody:9300+27", "9300 K black body + 27 MPCD (CIE 1960)", XY{.2786, .3070}, 1.5e-4, "calc; not the .281 .311 of the trade"},
		{"blackbody:6550 + 7", "blackbody:6550+7", "6550 K black body + 7 MPCD (CIE 1960)", XY{.31207, .32758}, 1e-4, "calc"},
		{"blackbody:9300", "blackbody:9300", "9300 K black body", XY{.28486, .29322}, 1e-4, "calc"},
		{"daylight:9300", "daylight:9300", "9300 K daylight", XY{.28311, .29707}, 1e-5, "calc"},
		{"daylight:6500K", "daylight:6500", "6500 K daylight", XY{.3127, .3290}, 1.5e-4, "BT.601-7"},
		{"daylight:7500-8", "daylight:7500-8", "7500 K daylight - 8 MPCD (CIE 1960)", XY{.3003, .3103}, 5e-4, "the black body of 7500 K lies 7.8 below, .30034 .31027 (calc)"},
	}
	for _, tt := range tests {
		w, err := ParseWhite(tt.text)
		require.NoError(t, err, tt.text)
		assert.Equal(t, tt.name, w.Name)
		assert.Equal(t, tt.title, w.Title)
		assert.InDelta(t, tt.want.X, w.X, tt.within, "x of %s: %s", tt.text, tt.source)
		assert.InDelta(t, tt.want.Y, w.Y, tt.within, "y of %s: %s", tt.text, tt.source)
		again, err := ParseWhite(w.Name) // a name is kept in records and read again
		require.NoError(t, err)
		assert.Equal(t, w, again)
	}
}

// Distances are square to the locus and of the stated length, on both loci from
// 5000 to 10000 K; plus is green: above the locus.
func TestWhiteDistance(t *testing.T) {
	for _, l := range loci() {
		for k := 5000.0; k <= 10000; k += 250 {
			c := l.at(k).UV1960()
			for _, d := range []float64{-27, -8, -1, 1, 8, 27} {
				p := l.off(k, d).UV1960()
				assert.InDelta(t, math.Abs(d)*.0004, math.Hypot(p.U-c.U, p.V-c.V), 1e-9, "%s %g %+g", l.name, k, d)
				assert.Equal(t, d > 0, p.V > c.V, "%s %g %+g", l.name, k, d)
				// No other point of the locus is nearer.
				for _, near := range []float64{.97, .99, 1.01, 1.03} {
					q := l.at(k * near).UV1960()
					assert.Greater(t, math.Hypot(p.U-q.U, p.V-q.V), math.Abs(d)*.0004, "%s %g %+g", l.name, k, d)
				}
			}
		}
	}
	// Plain kelvin stay daylight.
	for _, k := range []string{"4000", "5000", "7500", "10000", "25000"} { // both ends too
		plain, err := ParseWhite(k)
		require.NoError(t, err)
		named, err := ParseWhite("daylight:" + k)
		require.NoError(t, err)
		assert.Equal(t, plain.XY, named.XY)
	}
}

func TestWhiteErrors(t *testing.T) {
	tests := []struct{ text, want string }{
		{"daylight:3999", `white "daylight:3999": 3999 K is not on the daylight locus; use 4000 to 25000`},
		{"blackbody:999+3", `white "blackbody:999+3": 999 K is not on the black body locus; use 1000 to 25000`},
		{"blackbody:9300+101", `white "blackbody:9300+101": +101 MPCD is too far off the locus for a color temperature; use -100 to +100`},
		{"daylight:", `white "daylight:" is not daylight: kelvin, and MPCD off the locus with its sign if there are any; write it like daylight:7500 or daylight:7500+2`},
		{"daylight:7500+", `write it like daylight:7500`},
		{"daylight:7500+2+3", `write it like daylight:7500`},
		{"blackbody:+8", `8 K is not on the black body locus`},
		{"blackbody:1e4", `write it like blackbody:7500`},
		{"blackbody:NaN", `write it like blackbody:7500`},
		{"blackbody:1000+100", `is no color; use fewer MPCD`},
		{"tungsten:2856", `unknown white "tungsten:2856"; use D65, `},
	}
	for _, tt := range tests {
		_, err := ParseWhite(tt.text)
		assert.ErrorContains(t, err, tt.want, tt.text)
	}
}
