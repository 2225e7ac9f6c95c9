package deliver

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/internal/ffmpeg"
	"backporch/internal/oracle"
	"backporch/internal/render"
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

func TestEncodeTry(t *testing.T) {
	tool := needTool(t)
	for _, x := range Targets() {
		for _, r := range x.Rasters {
			j := laidOut(t, x.Name, r, "bars-eg1", 10)
			if j.Raster.Scan.System == timing.System625 {
				j = laidOut(t, x.Name, r, "bars-full", 10)
			}
			p := encoded(t, tool, j)
			pr, err := tool.Probe(context.Background(), p)
			require.NoError(t, err)
			f, k, err := tool.Frames(context.Background(), p)
			require.NoError(t, err)
			t.Logf("%s %s: %s %v %v %+v %+v\n %d %d %+v %+v", x.Name, r, pr.Format, pr.Duration, pr.BitRate, *pr.Video, pr.Audio, len(f), len(k), f[0], k[0])
		}
	}
}
