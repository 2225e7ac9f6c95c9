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

// TestEveryTarget: files of every target on every raster prove themselves.
func TestEveryTarget(t *testing.T) {
	tool := needTool(t)
	for _, x := range Targets() {
		for _, r := range x.Rasters {
			t.Run(x.Name+"/"+r, func(t *testing.T) {
				spec := "bars-eg1"
				if timing.Lookup(r).Scan.System == timing.System625 {
					spec = "pluge"
				}
				p := proved(t, tool, laidOut(t, x.Name, r, spec, 20))
				t.Log("\n" + text(t, p))
				require.True(t, p.OK, "%s", p.Error())
			})
		}
	}
}
