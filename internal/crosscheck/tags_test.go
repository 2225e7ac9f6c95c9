package crosscheck

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"backporch/internal/format"
	"backporch/internal/oracle"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A probed is what ffprobe says of the one stream of a file.
type probed struct {
	Width  int
	Height int
	Rate   string `json:"r_frame_rate"`
	Order  string `json:"field_order"`
	Shape  string `json:"sample_aspect_ratio"`
	Format string `json:"pix_fmt"`
	Range  string `json:"color_range"`
	Site   string `json:"chroma_location"`
}

func probe(t *testing.T, name string) probed {
	t.Helper()
	path := oracle.Need(t, "ffprobe")
	out, err := exec.CommandContext(t.Context(), path, "-v", "error", "-show_streams", "-of", "json", name).Output()
	require.NoError(t, err)
	var all struct{ Streams []probed }
	require.NoError(t, json.Unmarshal(out, &all))
	require.Len(t, all.Streams, 1)
	return all.Streams[0]
}

// fieldRate returns vertical sweeps per second: SMPTE 170M clause 11 (4.5 MHz /
// 286 lines a second), ITU-R BT.1700 (50), and for the others those of
// testdata/lowline_rates.csv.
func fieldRate(t *testing.T, r *timing.Raster) (hz float64, tolerance float64) {
	t.Helper()
	switch r.Name {
	case "480i", "480i-dv", "480i-cea", "486i":
		return 60000.0 / 1001, 1e-9
	case "576i", "576i-dv":
		return 50, 1e-9
	}
	cell := map[string][3]string{
		"240p":        {"525-derived", "227.5", "262"},
		"240p-263":    {"525-derived", "227.5", "263"},
		"240p-228":    {"525-derived", "228", "262"},
		"240p-227.33": {"525-derived", "227 1/3", "262"},
		// The table keeps 15625 Hz and moves the subcarrier; here the subcarrier
		// stays and the line rate becomes 4433618.75 / 283.75.
		"288p":     {"625-derived fsc=283.75fH", "283.75", "312"},
		"288p-313": {"625-derived fsc=283.75fH", "283.75", "313"},
	}[r.Name]
	for _, row := range testtable.Table(t, "lowline_rates.csv") {
		if row.Text(t, "family") != cell[0] || row.Text(t, "subcarrier_cycles_per_line") != cell[1] || row.Text(t, "lines_per_field") != cell[2] {
			continue
		}
		if strings.HasPrefix(r.Name, "288p") {
			return 4433618.75 / 283.75 / row.Float(t, "lines_per_field"), 1e-9
		}
		return row.Float(t, "field_Hz"), 6e-6 // five decimals
	}
	require.FailNow(t, "no rate", r.Name)
	return 0, 0
}

// TestTags lets ffprobe read the header of a y4m of every raster: size, rate,
// order of fields, pixel shape, samples and range. It would catch fields in
// the wrong order, which no still picture shows.
func TestTags(t *testing.T) {
	// The crop of CEA-861 and of files begins with a line of field 1, those of
	// DV and of the studio frame with one of field 2, the newer (SMPTE RP 202
	// and DV: secondary).
	order := map[string]string{
		"480i": "tt", "480i-cea": "tt", "480i-dv": "bb", "486i": "bb", "576i": "tt", "576i-dv": "bb",
	}
	for _, r := range timing.Rasters() {
		for _, f := range streamFormats() {
			first := r.Name == "480i" || r.Name == "288p"
			if f.raw != "y4m" || !first && f.planes != "yuv422p10le" || testing.Short() && !first {
				continue
			}
			t.Run(r.Name+"/"+f.String(), func(t *testing.T) {
				t.Parallel()
				name := filepath.Join(t.TempDir(), "a.y4m")
				require.NoError(t, os.WriteFile(name, shot{spec: "bars-full", raster: r, choice: f.choice}.bytes(t), 0o600))
				got := probe(t, name)
				assert.Equal(t, r.Width, got.Width)
				assert.Equal(t, r.Height(), got.Height)
				assert.Equal(t, f.planes, got.Format)
				assert.Equal(t, "tv", got.Range)
				want := order[r.Name]
				if want == "" {
					want = "progressive"
				}
				assert.Equal(t, want, got.Order)
				shape := pixelShape(r)
				assert.Equal(t, ratioText(shape, ":"), got.Shape)
				if f.planes == "yuv420p" {
					assert.Equal(t, "left", got.Site, "chroma is co-sited across")
				}
				rate := rational(t, got.Rate)
				fields, tolerance := fieldRate(t, r)
				if r.Scan.Interlaced() {
					rate *= 2
				}
				assert.InDelta(t, fields, rate, tolerance, "fields per second")
			})
		}
	}
}

func ratioText(r timing.Ratio, sep string) string {
	return strings.Replace(r.String(), "/", sep, 1)
}

func rational(t *testing.T, s string) float64 {
	t.Helper()
	var num, den float64
	a, b, ok := strings.Cut(s, "/")
	require.True(t, ok, s)
	require.NoError(t, json.Unmarshal([]byte(a), &num))
	require.NoError(t, json.Unmarshal([]byte(b), &den))
	require.False(t, math.Abs(den) < 1, s)
	return num / den
}

// TestAspectTags: on a 16:9 screen a pixel is 4/3 as wide.
func TestAspectTags(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a.y4m")
	j := shot{spec: "circles", raster: timing.Lookup("576i"), choice: format.Choice{Name: "y4m"}}.job(t)
	j.Aspect = timing.R(16, 9)
	wide, err := j.Request.Layout()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(name, file(t, wide), 0o600))
	assert.Equal(t, "118:81", probe(t, name).Shape) // 59/54 x 4/3
}
