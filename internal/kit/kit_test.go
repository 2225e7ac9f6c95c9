package kit

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/timing"
)

func request(dir, raster string) Request {
	return Request{Dir: dir, Variants: []Variant{{Raster: timing.Lookup(raster), Frames: 1}}, Aspect: timing.R(4, 3), Program: "backporch test"}
}

// Every file is listed with its size and SHA-256, and none else is there.
func TestMake(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	res, err := Make(context.Background(), request(dir, "240p"))
	require.NoError(t, err)
	text, err := os.ReadFile(filepath.Join(dir, "kit.json"))
	require.NoError(t, err)
	var m manifest
	require.NoError(t, json.Unmarshal(text, &m))
	assert.Equal(t, "backporch/kit/1", m.Schema)
	assert.Equal(t, "1125000/18733", m.Rate, "the true rate of 262 lines at 227.5 cycles")
	assert.True(t, bytes.HasPrefix(bytes.TrimLeft(text, "{\n "), []byte(`"schema"`)), "the schema comes first")

	listed := map[string]bool{"kit.json": true}
	for _, f := range m.Files {
		listed[f.Name] = true
		data, err := os.ReadFile(filepath.Join(dir, f.Name))
		require.NoError(t, err)
		sum := sha256.Sum256(data)
		assert.Equal(t, hex.EncodeToString(sum[:]), f.SHA256, f.Name)
		assert.Equal(t, int64(len(data)), f.Bytes, f.Name)
		if strings.HasSuffix(f.Name, ".png") {
			_, err := png.Decode(bytes.NewReader(data))
			assert.NoError(t, err, f.Name)
		}
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		assert.True(t, listed[e.Name()], "%s is not in kit.json", e.Name())
	}
	assert.Equal(t, len(listed), res.Files)
}

// What full-range RGB cannot hold is said on the page and in kit.json; the
// video beside it holds everything.
func TestAbsent(t *testing.T) {
	if testing.Short() {
		t.Skip("short runs look for races, which TestMake meets")
	}
	dir := filepath.Join(t.TempDir(), "kit")
	res, err := Make(context.Background(), request(dir, "480i"))
	require.NoError(t, err)
	assert.Zero(t, res.Absent, "the videos hold what the pictures do not")
	text, err := os.ReadFile(filepath.Join(dir, "kit.json"))
	require.NoError(t, err)
	var m manifest
	require.NoError(t, json.Unmarshal(text, &m))
	found := false
	for _, f := range m.Files {
		switch {
		case strings.HasSuffix(f.Name, ".y4m"):
			assert.Empty(t, f.Absent, f.Name)
		case strings.HasSuffix(f.Name, "bars-eg1.png"):
			found = true
			var names []string
			for _, a := range f.Absent {
				names = append(names, a.Patch)
			}
			assert.Equal(t, []string{"-I", "+Q", "PLUGE below black"}, names)
		}
	}
	assert.True(t, found)
	page, err := os.ReadFile(filepath.Join(dir, "index.html"))
	require.NoError(t, err)
	assert.Contains(t, string(page), "Absent in the picture: -I, &#43;Q, PLUGE below black. Use the video.")
	assert.Positive(t, res.Video)
	assert.NotRegexp(t, regexp.MustCompile(`(?i)(src|href)="https?:`), string(page), "the page needs no network")
}

// A plan that the format cannot reach fails the whole kit and leaves nothing.
func TestUnreachable(t *testing.T) {
	if testing.Short() {
		t.Skip("short runs look for races, which TestMake meets")
	}
	dir := filepath.Join(t.TempDir(), "kit")
	q := request(dir, "480i")
	q.Variants[0].Plan = colorimetry.Plan{Wire: colorimetry.CompositeJ, Player: colorimetry.CompositeM}
	_, err := Make(context.Background(), q)
	require.Error(t, err)
	assert.NoDirExists(t, dir)
	left, err := os.ReadDir(filepath.Dir(dir))
	require.NoError(t, err)
	assert.Empty(t, left)

	q.Clip = true
	res, err := Make(context.Background(), q)
	require.NoError(t, err)
	assert.Positive(t, res.Clipped)
	// What is clipped is not called absent, and its level is what the wire then
	// carries: code 1 out of an encoder with setup, +1.16 IRE or 8.3 mV (design
	// by arithmetic: 7.5 IRE - 92.5 IRE x 15/219).
	text, err := os.ReadFile(filepath.Join(dir, "kit.json"))
	require.NoError(t, err)
	var m manifest
	require.NoError(t, json.Unmarshal(text, &m))
	for _, p := range m.Pictures {
		if p.Pattern != "flat color=black" {
			continue
		}
		require.Len(t, p.Patches, 1)
		assert.True(t, p.Patches[0].Clipped)
		assert.Equal(t, uint16(1), p.Patches[0].Codes8[0])
		require.NotNil(t, p.Patches[0].Luma)
		assert.InDelta(t, (7.5-92.5*15/219)/0.14, *p.Patches[0].Luma, 0.01)
	}
	for _, f := range m.Files {
		if strings.HasSuffix(f.Name, "flat-black.y4m") {
			assert.Empty(t, f.Absent)
			assert.Len(t, f.Clipped, 1)
		}
	}
}

// The page says how long the videos are.
func TestHowToPlay(t *testing.T) {
	q := request("", "576i")
	runs, err := q.runs()
	require.NoError(t, err)
	assert.Contains(t, runs[0].howToPlay(), "holds its picture once")
	runs[0].Frames = 250
	assert.Contains(t, runs[0].howToPlay(), "for 250 frames")
	runs[0].formats = []string{"png"}
	assert.Contains(t, runs[0].howToPlay(), "the first frame only")
}

func TestCanceled(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	ctx, cancel := context.WithCancel(context.Background())
	q := request(dir, "480i")
	q.Progress = func(done, _ int) {
		if done == 2 {
			cancel()
		}
	}
	_, err := Make(ctx, q)
	require.ErrorIs(t, err, context.Canceled)
	assert.EqualError(t, err, "interrupted while writing "+dir+"; what stood under that name is as it was")
	left, err := os.ReadDir(filepath.Dir(dir))
	require.NoError(t, err)
	assert.Empty(t, left, "nothing half-made is left")
}

func BenchmarkMake(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		q := request(filepath.Join(b.TempDir(), "kit"), "480i")
		res, err := Make(context.Background(), q)
		if err != nil {
			b.Fatal(err)
		}
		b.SetBytes(res.Bytes)
	}
}
