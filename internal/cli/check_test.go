package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// faulty writes a capture: bars rendered by the program, then every code of luma
// and color changed by a plain function of codes (ITU-R BT.601-5 clause 3.5.3:
// black 16, white 235, color about 128).
func faulty(t *testing.T, name, raster string, luma, chroma func(float64) float64) {
	t.Helper()
	code, _, errs := run(t, "render", "bars-eg1", "--raster", raster, "--format", "i422", "-o", name+".i422")
	require.Zero(t, code, errs)
	data, err := os.ReadFile(name + ".i422")
	require.NoError(t, err)
	for i, v := range data {
		f, mid := luma, 16.0
		if i >= len(data)/2 {
			f, mid = chroma, 128
		}
		data[i] = byte(math.Round(min(max(f(float64(v)-mid)+mid, 1), 254)))
	}
	require.NoError(t, os.WriteFile(name+".i422", data, 0o666))
}

func same(v float64) float64 { return v }

// TestCheckExitCodes: 0 for fit and for fit with a correction, 3 for what is not
// fit or cannot be told, 2 for a wrong command line, 1 for a file that cannot be
// read.
func TestCheckExitCodes(t *testing.T) {
	t.Chdir(t.TempDir())
	faulty(t, "right", "240p", same, same)
	faulty(t, "low", "240p", func(v float64) float64 { return 0.9 * v }, func(v float64) float64 { return 0.9 * v })
	faulty(t, "cut", "240p", func(v float64) float64 { return max(0, v) }, same)
	for _, tt := range []struct {
		name string
		code int
		want string
		args []string
	}{
		{"fit", 0, "Verdict              fit\n", []string{"right.i422", "--via", "none"}},
		{"not known", 3, "Player and capture together", []string{"right.i422"}},
		{"correction", 0, "change the gain of luma", []string{"low.i422", "--via", "none"}},
		{"cut", 3, "levels below black are cut", []string{"cut.i422", "--via", "none"}},
		{"usage", 2, "", []string{"right.i422", "--class", "x"}},
		{"no file", 1, "", []string{"gone.i422"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			code, out, errs := run(t, append([]string{"check", "--pattern", "bars-eg1", "--raster", "240p"}, tt.args...)...)
			assert.Equal(t, tt.code, code, out+errs)
			assert.Contains(t, out, tt.want)
		})
	}
}

// TestCheckThroughACalibration: a capture device of known faults is learned from
// a right source; the faults of another source behind it are then found within
// 0.5 IRE and 1 %, by the numbers that --json prints.
func TestCheckThroughACalibration(t *testing.T) {
	t.Chdir(t.TempDir())
	luma := func(v float64) float64 { return 0.94*v + 5 } // 94 %, black at 2.28 IRE
	chroma := func(v float64) float64 { return 0.85 * v }
	faulty(t, "known", "240p", luma, chroma)
	faulty(t, "other", "240p", func(v float64) float64 { return luma(0.95*v + 3) }, func(v float64) float64 { return chroma(1.1 * v) })
	code, out, errs := run(t, "check", "known.i422", "--pattern", "bars-eg1", "--raster", "240p", "--learn", "device.json", "--source", "exact")
	require.Zero(t, code, out+errs)
	_, out, errs = run(t, "check", "other.i422", "--pattern", "bars-eg1", "--raster", "240p", "--via", "device.json", "--json")
	var got struct {
		Gain   float64 `json:"luma_gain_percent"`
		Black  float64 `json:"black_ire"`
		Chroma float64 `json:"chroma_gain_percent"`
		Phase  float64 `json:"chroma_phase_deg"`
	}
	require.NoError(t, json.Unmarshal([]byte(out), &got), out+errs)
	assert.InDelta(t, 95, got.Gain, 0.5)
	assert.InDelta(t, 300.0/219, got.Black, 0.5)
	assert.InDelta(t, 110, got.Chroma, 1)
	assert.InDelta(t, 0, got.Phase, 0.5)
}

// TestCheckRaster: a file that does not name its raster is taken for the one of
// its size and order.
func TestCheckRaster(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, raster := range []string{"480i", "576i", "240p", "288p", "486i"} {
		code, _, errs := run(t, "render", "bars-eg1", "--raster", raster, "-o", raster+".y4m")
		require.Zero(t, code, errs)
		code, out, errs := run(t, "check", raster+".y4m", "--pattern", "bars-eg1", "--via", "none", "--json")
		assert.Zero(t, code, out+errs)
		assert.Contains(t, out, `"raster":"`+raster+`"`)
		assert.Contains(t, out, `"verdict":"fit"`)
	}
}

// TestCheckLeavesNothing: a run that fails writes neither page nor calibration.
func TestCheckLeavesNothing(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("a.y4m", []byte("YUV4MPEG2 W720 H480 F25:1 It A1:1 C422\n"), 0o666))
	code, _, errs := run(t, "check", "a.y4m", "--pattern", "bars-eg1", "--html", "page.html")
	assert.Equal(t, 1, code)
	assert.Equal(t, "backporch: a.y4m has no picture in it\n", errs)
	list, err := filepath.Glob("*")
	require.NoError(t, err)
	assert.Equal(t, []string{"a.y4m"}, list)

	ctx, stop := context.WithCancel(context.Background())
	stop()
	require.NoError(t, os.WriteFile("b.y4m", append([]byte("YUV4MPEG2 W720 H480 F25:1 It A1:1 C422\n"), bytes.Repeat(append([]byte("FRAME\n"), make([]byte, 720*480*2)...), 3)...), 0o666))
	var o, e bytes.Buffer
	assert.Equal(t, 1, Run(ctx, &Streams{Out: &o, Err: &e}, []string{"check", "b.y4m", "--pattern", "bars-eg1", "--html", "page.html"}))
	assert.Equal(t, "backporch: interrupted while b.y4m was read; nothing was written\n", e.String())
}
