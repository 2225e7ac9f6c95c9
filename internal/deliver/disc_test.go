package deliver

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"backporch/internal/render"
	"backporch/timing"
)

func TestDiscTry(t *testing.T) {
	tool := needTool(t)
	a, err := FindAuthor()
	require.NoError(t, err)
	for _, still := range []bool{false, true} {
		q := &DiscRequest{Dir: filepath.Join("/tmp/disc", map[bool]string{false: "loop", true: "still"}[still]), Force: true, Specs: []string{"one-to-one", "bars-eg1", "crosshatch", "moving-bar fields=8"},
			Picture: render.Request{Raster: timing.Lookup("480i"), Aspect: timing.R(4, 3)}, Frames: 300, Still: still, Program: "backporch test"}
		d, err := q.Layout()
		require.NoError(t, err)
		start := time.Now()
		p, err := d.Make(t.Context(), tool, a)
		t.Log(time.Since(start), err)
		if p != nil {
			s := &testWriter{t}
			_ = p.Summary().Write(s, 0, 0)
		}
	}
}

type testWriter struct{ t *testing.T }

func (w *testWriter) Write(b []byte) (int, error) { w.t.Logf("\n%s", b); return len(b), nil }
