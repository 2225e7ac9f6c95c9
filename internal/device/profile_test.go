package device

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTitles: what a profile is called in one line, however its colors are made.
func TestTitles(t *testing.T) {
	const own = "system = 525\nclock = \"4 fsc\"\ndivider = 2\nline = 910\nlines = 262\nwidth = 320\nrows = 240\noutputs = [\"rgb-714\"]\n"
	for _, tt := range []struct{ name, text, want string }{
		{"bits", own + "bits = [3, 3, 3]\ncolors = 64\n", "320 by 240, 3:3:3 color, 64 at once"},
		{"all at once", own + "bits = 1\n", "320 by 240, 1:1:1 color"},
		{"fixed palette", own + "palette = [\"#000000\", \"#ffffff\", \"#bf0000\"]\n", "320 by 240, 3 fixed colors"},
		{"video", "system = 525\nrasters = [\"480i\"]\noutputs = [\"composite-m\"]\n", "720 by 480, video"},
	} {
		p, err := ParseTOML([]byte("name = \"bench-a\"\n"+tt.text), tt.name)
		require.NoError(t, err, tt.name)
		assert.Equal(t, tt.want, p.Title, tt.name)
	}
	for spec, want := range map[string]string{
		"palette-16":          "256 pixels at 3/2 fsc (5.369 MHz), 16 fixed colors",
		"palette-16 colors=8": "256 pixels at 3/2 fsc (5.369 MHz), 16 fixed colors, 8 at once; changed: colors=8",
		"pixel-320 bits=444":  "320 pixels at 2 fsc (7.159 MHz), 4:4:4 color, 64 at once; changed: bits=444",
	} {
		p, err := Parse(spec)
		require.NoError(t, err)
		assert.Equal(t, want, p.Title, spec)
	}
}
