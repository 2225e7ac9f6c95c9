package colorimetry

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseColor(t *testing.T) {
	tests := []struct {
		text    string
		r, g, b float64
	}{
		{"white", 1, 1, 1}, {"black", 0, 0, 0}, {"red", 1, 0, 0}, {"green", 0, 1, 0}, {"blue", 0, 0, 1},
		{"cyan", 0, 1, 1}, {"magenta", 1, 0, 1}, {"yellow", 1, 1, 0}, {" White ", 1, 1, 1}, {"RED", 1, 0, 0},
		{"gray-50", 0.5, 0.5, 0.5}, {"grey-50", 0.5, 0.5, 0.5}, {"gray-0", 0, 0, 0}, {"gray-12.5", 0.125, 0.125, 0.125},
		{"gray--4", -0.04, -0.04, -0.04}, {"gray--7", -0.07, -0.07, -0.07}, {"gray-109", 1.09, 1.09, 1.09},
		{"75,0,0", 0.75, 0, 0}, {" 75 , 0.5 ,100", 0.75, 0.005, 1}, {"0,0,0", 0, 0, 0},
		{"#ffffff", 1, 1, 1}, {"#000000", 0, 0, 0}, {"#Ff0000", 1, 0, 0}, {"#3366cc", 0.2, 0.4, 0.8},
	}
	for _, tt := range tests {
		s, err := ParseColor(tt.text)
		require.NoError(t, err, tt.text)
		r, g, b := s.RGB()
		assert.InDeltaSlice(t, []float64{tt.r, tt.g, tt.b}, []float64{r, g, b}, 1e-15, tt.text)
	}
	for _, name := range ColorNames() {
		_, err := ParseColor(name)
		assert.NoError(t, err, name)
		assert.Contains(t, ColorRange, name)
	}
	// Full-range codes come back, all of them.
	for i := range 256 {
		s, err := ParseColor(fmt.Sprintf("#%02x%02x%02x", i, 255-i, i/2))
		require.NoError(t, err)
		require.Equal(t, [3]uint16{uint16(i), uint16(255 - i), uint16(i / 2)}, RGB8.Codes(s))
	}
}

func TestParseColorErrors(t *testing.T) {
	gray := "color %q: gray-N takes a per cent from -7 to 109, such as gray-50"
	three := "color %q: R,G,B takes three per cents from 0 to 100, such as 75,0,0"
	hex := "color %q is not #rrggbb, six hexadecimal digits such as #ff8000"
	unknown := "unknown color %q; use white, black, red, green, blue, cyan, magenta, yellow, gray-N (N per cent), R,G,B (per cent, 0 to 100) or #rrggbb"
	for _, tt := range []struct{ text, want string }{
		{"", unknown}, {"orange", unknown}, {"gray", unknown}, {"75", unknown}, {"1,2", unknown}, {"1,2,3,4", unknown}, {"ultragray-5", unknown},
		{"gray-", gray}, {"gray-x", gray}, {"gray--7.1", gray}, {"gray-109.5", gray}, {"gray-nan", gray}, {"gray-inf", gray},
		{"gray-0x10", gray}, {"gray-1e1", gray}, {"gray-5 0", gray}, {"gray-50%", gray},
		{",,", three}, {"1,2,", three}, {"101,0,0", three}, {"-1,0,0", three}, {"a,b,c", three}, {"nan,0,0", three}, {"0x1,0,0", three}, {"1_0,0,0", three},
		{"#", hex}, {"#fff", hex}, {"#ffffff0", hex}, {"#gggggg", hex}, {"#+1+1+1", hex}, {"# fffff", hex}, {"##fffff", hex},
	} {
		s, err := ParseColor(tt.text)
		assert.EqualError(t, err, fmt.Sprintf(tt.want, tt.text))
		assert.Zero(t, s)
	}
}

// FuzzParseColor: refuse, or give a color that every coding can round and that
// is within the ranges that the text of an error promises.
func FuzzParseColor(f *testing.F) {
	for _, s := range []string{"white", "gray-50", "grey--4", "75,0,0", "#ff8000", "#fff", "gray-1e400", "+.5,0,0", "ﬀ", "\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseColor(text)
		if err != nil {
			if s != (Signal{}) {
				t.Errorf("%q: an error and a color, %v", text, s)
			}
			return
		}
		r, g, b := s.RGB()
		for _, v := range []float64{r, g, b} {
			if math.IsNaN(v) || v < -0.07-1e-12 || v > 1.09+1e-12 {
				t.Errorf("%q: R'G'B' %g, %g, %g", text, r, g, b)
			}
		}
		if !YCbCr8.Holds(s) {
			t.Errorf("%q: %v has no 8-bit code", text, s)
		}
	})
}
