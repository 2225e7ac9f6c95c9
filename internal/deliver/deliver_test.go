package deliver

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/internal/ffmpeg"
	"backporch/internal/oracle"
	"backporch/internal/render"
	"backporch/internal/table"
	"backporch/pattern"
	"backporch/timing"
)

// needTool returns the encoder, by the rule of oracle.Need.
func needTool(t testing.TB) *ffmpeg.Tool {
	t.Helper()
	oracle.Need(t, "ffmpeg")
	oracle.Need(t, "ffprobe")
	tool, err := ffmpeg.Find(context.Background())
	require.NoError(t, err)
	return tool
}

// request asks for a pattern on a raster.
func request(t testing.TB, target, raster, spec string, frames int) *Request {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	return &Request{
		Target: Lookup(target), Frames: frames,
		Picture: render.Request{Pattern: p, Spec: spec, Raster: timing.Lookup(raster), Aspect: timing.R(4, 3)},
	}
}

func laidOut(t testing.TB, target, raster, spec string, frames int) *Job {
	t.Helper()
	j, err := request(t, target, raster, spec, frames).Layout()
	require.NoError(t, err)
	return j
}

// encoded makes the file in a folder of its own.
func encoded(t testing.TB, tool *ffmpeg.Tool, j *Job) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "file")
	require.NoError(t, j.Encode(context.Background(), tool, path))
	return path
}

// proved makes the file and proves it.
func proved(t testing.TB, tool *ffmpeg.Tool, j *Job) *Proof {
	t.Helper()
	p, err := j.Prove(context.Background(), tool, encoded(t, tool, j))
	require.NoError(t, err)
	return p
}

// text is the proof as a person reads it.
func text(t testing.TB, p *Proof) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, p.Document().Write(&b, table.Text, 0))
	return b.String()
}

// TestEveryTarget: files of every target prove themselves on every raster; of the
// large ones, on one for each system and scan.
func TestEveryTarget(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := needTool(t)
	for _, x := range Targets() {
		seen := map[string]bool{}
		for _, r := range x.Rasters {
			scan := timing.Lookup(r).Scan
			key := scan.System.Name + map[bool]string{true: "i", false: "p"}[scan.Interlaced()] + timing.Lookup(r).Order().String()
			if seen[key] && x.Tolerance == 0 {
				continue
			}
			seen[key] = true
			t.Run(x.Name+"/"+r, func(t *testing.T) {
				spec := "bars-eg1"
				if scan.System == timing.System625 {
					spec = "pluge"
				}
				p := proved(t, tool, laidOut(t, x.Name, r, spec, 20))
				require.True(t, p.OK, "%s", text(t, p))
			})
		}
	}
}

// TestPatterns: pictures that are hard on an encoder keep their levels, and those
// that move every frame.
func TestPatterns(t *testing.T) {
	tool := needTool(t)
	if testing.Short() {
		t.Skip("encodes sixty files")
	}
	for _, x := range Targets() {
		for _, raster := range []string{"480i", "576i"} {
			motion := new(Motion)
			for _, spec := range []string{"crosshatch-dots", "focus-field", "bars-rp219", "vectors", "ramp range=near-black", "field-order fields=20", "moving-bar fields=8"} {
				t.Run(x.Name+"/"+raster+"/"+spec, func(t *testing.T) {
					q := request(t, x.Name, raster, spec, 12)
					q.Motion = motion
					j, err := q.Layout()
					require.NoError(t, err)
					p := proved(t, tool, j)
					require.True(t, p.OK, "%s", text(t, p))
				})
			}
		}
	}
}
