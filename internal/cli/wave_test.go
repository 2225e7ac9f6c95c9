package cli

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/output"
	"backporch/internal/wavefile"
	"backporch/pattern"
	"backporch/timing"
)

func TestWaveFlags(t *testing.T) {
	called := false
	cmd := newWave(&Streams{}, func(_ context.Context, o *waveOptions) error {
		called = true
		assert.Equal(t, []string{"bars-full", "set=100/0/75/0"}, o.Words)
		assert.Equal(t, []string{"yc-pal", "576i", "narrow", "off", "50"}, []string{o.Wire, o.Raster, o.Chroma, o.Burst, o.ChromaGain})
		assert.Equal(t, []string{"u16", "-", "a.json"}, []string{o.Format, o.Output, o.Sidecar})
		assert.Equal(t, 8, o.Frames)
		assert.True(t, o.counted && o.Clip && o.Force)
		assert.False(t, o.lineWise || o.Offset)
		return nil
	})
	cmd.SetArgs([]string{"bars-full", "set=100/0/75/0", "--wire", "yc-pal", "--raster", "576i", "--chroma", "narrow", "--burst", "off",
		"--chroma-gain", "50", "--format", "u16", "-o", "-", "--sidecar", "a.json", "--frames", "8", "--clip", "--force"})
	require.NoError(t, cmd.Execute())
	assert.True(t, called, "the command did not run")
}

// A length in seconds becomes the frames that cover it: 1 s of 480i is 29.97
// frames, of 240p 60.05 (arithmetic with the exact rates).
func TestWaveLength(t *testing.T) {
	for _, tt := range []struct {
		seconds string
		scan    *timing.Scan
		want    int
	}{
		{"1", timing.Scan525i, 30}, {"1", timing.Scan262, 61}, {"1", timing.Scan625i, 25}, {"1.001", timing.Scan525i, 30},
		{"1.0010001", timing.Scan525i, 31}, {"1/25", timing.Scan625i, 1}, {"", timing.Scan625i, 0},
	} {
		got, err := (&waveOptions{Seconds: tt.seconds}).length(tt.scan)
		require.NoError(t, err)
		assert.Equal(t, tt.want, got, "%s s of %s", tt.seconds, tt.scan.Name)
	}
}

func TestParseLines(t *testing.T) {
	for text, want := range map[string][2]int{"20": {20, 20}, "20-30": {20, 30}, "30-20": {30, 20}} {
		first, last, err := parseLines(text)
		require.NoError(t, err)
		assert.Equal(t, want, [2]int{first, last})
	}
	for _, bad := range []string{"", "-", "20-", "-20", "a", "1-2-3", "1,2"} {
		_, _, err := parseLines(bad)
		assert.ErrorAs(t, err, new(*usageError), bad)
	}
}

// A file that the command wrote is read back as what the encoder makes of the
// pattern, within half a code.
func TestWaveReadBack(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a.wav", "a.s16", "a.u16"} {
		path := filepath.Join(dir, name)
		code, out, errs := run(t, "wave", "bars-eg1", "--raster", "240p", "-o", path)
		require.Equal(t, exitDone, code, errs)
		assert.Equal(t, path+": 0.017 s, 1 frame, 0.5 MB\n", out)
		got, meta, err := wavefile.Read(path, 0, func(n string) (io.ReadCloser, error) { return os.Open(n) })
		require.NoError(t, err)
		assert.Equal(t, name, meta.File)

		p, err := pattern.Parse("bars-eg1")
		require.NoError(t, err)
		job, w, err := (&pictureFlags{Raster: "240p", Setup: "as-player", Aspect: "4:3", Edges: "shaped"}).layoutOnWire(p, "bars-eg1")
		require.NoError(t, err)
		e, err := composite.NewEncoder(w, timing.Scan262, composite.Standard)
		require.NoError(t, err)
		want, err := e.Encode(0, 1, job.Carried)
		require.NoError(t, err)
		require.Len(t, got.Samples[0], len(want.Samples[0]))
		for i, v := range want.Samples[0] {
			require.InDelta(t, v, got.Samples[0][i], 0.5001*meta.Channels[0].PerCode)
		}
	}
}

// An interrupted run leaves nothing and says so.
func TestWaveInterrupted(t *testing.T) {
	dir := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var out, errs bytes.Buffer
	path := filepath.Join(dir, "a.s16")
	code := Run(ctx, &Streams{Out: &out, Err: &errs}, []string{"wave", "bars-full", "--seconds", "100", "-o", path})
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, errs.String(), "interrupted")
	assert.Contains(t, errs.String(), "nothing was changed under the names")
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, left)
	assert.Empty(t, out.String())

	i := named(&output.InterruptedError{Path: ".", Left: "nothing", Err: context.Canceled}, path)
	assert.ErrorContains(t, i, path)
}
