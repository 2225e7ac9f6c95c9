package kit

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/timing"
)

// several is two rasters and two setups of a few patterns.
func several(dir string) Request {
	q := request(dir, "240p")
	q.Patterns, q.Formats = []string{"flat", "bars-eg1", "count"}, []string{"png", "y4m"}
	q.Variants = nil
	for _, name := range []string{"240p", "288p"} {
		q.Variants = append(q.Variants, Variant{Raster: timing.Lookup(name), Setup: "as-player", Frames: 1})
	}
	q.Variants = append(q.Variants, Variant{Raster: timing.Lookup("240p"), Setup: "7.5", Frames: 1,
		Plan: colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}})
	return q
}

// tree returns every file below dir.
func tree(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		files[filepath.ToSlash(name)], err = os.ReadFile(path)
		return err
	}))
	return files
}

// Several variants lie in folders of their own; the manifest on top lists
// every file of every one, and nothing else is there. A single kit in its
// place removes them, and only them.
func TestSeveral(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	res, err := Make(context.Background(), several(dir))
	require.NoError(t, err)
	files := tree(t, dir)
	assert.Len(t, files, res.Files)
	var top topManifest
	require.NoError(t, json.Unmarshal(files["kit.json"], &top))
	listed := map[string]bool{"kit.json": true}
	for _, f := range top.Files {
		listed[f.Name] = true
		assert.Len(t, files[f.Name], int(f.Bytes), f.Name)
	}
	for name := range files {
		assert.True(t, listed[name], "%s is not in kit.json", name)
	}
	assert.Equal(t, []topKit{{"240p-as-player", "240p", "as player"}, {"288p-as-player", "288p", "as player"}, {"240p-setup-7-5", "240p", "composite-m out of a composite-j player"}}, top.Kits)
	for _, k := range top.Kits {
		assert.Contains(t, string(files["index.html"]), k.Folder+"/index.html")
		assert.Contains(t, string(files[k.Folder+"/index.html"]), "../index.html")
		var sub manifest
		require.NoError(t, json.Unmarshal(files[k.Folder+"/kit.json"], &sub))
		assert.Equal(t, k.Raster, sub.Raster)
	}
	assert.NotEqual(t, files["240p-as-player/06-flat-white.png"], nil)
	black := files["240p-as-player/07-flat-black.png"]
	require.NotEmpty(t, black)
	assert.NotEqual(t, black, files["240p-setup-7-5/07-flat-black.png"], "setup is in the file")

	mine := filepath.Join(dir, "288p-as-player", "mine.txt")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o644))
	q := request(dir, "240p")
	q.Patterns, q.Force = []string{"flat"}, true
	_, err = Make(context.Background(), q)
	require.NoError(t, err)
	assert.FileExists(t, mine)
	assert.NoDirExists(t, filepath.Join(dir, "240p-as-player"))
	left, err := os.ReadDir(filepath.Dir(mine))
	require.NoError(t, err)
	assert.Len(t, left, 1)
}

// The same request gives the same bytes, under whatever name, as a folder and
// as an archive, which holds what the folder does, with one time for all.
func TestReproducible(t *testing.T) {
	if testing.Short() {
		t.Skip("short runs look for races, which TestMake meets")
	}
	dir := t.TempDir()
	var folders []map[string][]byte
	var archives [][]byte
	for _, name := range []string{"one", "another"} {
		q := several(filepath.Join(dir, name))
		_, err := Make(context.Background(), q)
		require.NoError(t, err)
		folders = append(folders, tree(t, q.Dir))

		q.Dir, q.Zip, q.Root = q.Dir+".zip", true, "kit"
		_, err = Make(context.Background(), q)
		require.NoError(t, err)
		b, err := os.ReadFile(q.Dir)
		require.NoError(t, err)
		archives = append(archives, b)
	}
	assert.Equal(t, folders[0], folders[1])
	require.True(t, bytes.Equal(archives[0], archives[1]))

	z, err := zip.NewReader(bytes.NewReader(archives[0]), int64(len(archives[0])))
	require.NoError(t, err)
	assert.Len(t, z.File, len(folders[0]))
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(r)
		require.NoError(t, err)
		name, err := filepath.Rel("kit", f.Name)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(folders[0][filepath.ToSlash(name)], b), f.Name)
		assert.Equal(t, zipEpoch, f.Modified.UTC())
	}

	q := several(filepath.Join(dir, "one.zip"))
	q.Zip = true
	_, err = Make(context.Background(), q)
	require.ErrorIs(t, err, os.ErrExist, "an archive is kept without Force")
}

// An interrupted archive leaves nothing either.
func TestArchiveCanceled(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	q := several(filepath.Join(dir, "kit.zip"))
	q.Zip = true
	q.Progress = func(done, _ int) {
		if done == 3 {
			cancel()
		}
	}
	_, err := Make(ctx, q)
	require.ErrorIs(t, err, context.Canceled)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, left)
}

// A variant that is asked for twice would have one folder for both.
func TestTwice(t *testing.T) {
	q := several(filepath.Join(t.TempDir(), "kit"))
	q.Variants = append(q.Variants, q.Variants[0])
	_, err := Make(context.Background(), q)
	assert.EqualError(t, err, "raster 240p with setup as-player is asked for twice; name it once")
}

// The whole kit stays below 60 MB on every raster, and no video lasts longer
// than 2 s (design). Its sizes are worked out from frames, not written.
func TestSize(t *testing.T) {
	names := []string{"480i", "486i", "576i", "240p", "288p"} // the others have as many samples as one of these
	if testing.Short() {
		names = names[2:3]
	}
	for _, name := range names {
		raster := timing.Lookup(name)
		q := request("", raster.Name)
		runs, err := q.runs()
		require.NoError(t, err)
		total := 0
		for _, it := range runs[0].items {
			l, err := runs[0].lay(it)
			require.NoError(t, err)
			for _, job := range l.jobs {
				if !job.Format.Stream {
					total += 20_000 // more than the mean of the pictures
					continue
				}
				total += job.Frames * job.Format.FrameSize(raster)
				assert.LessOrEqual(t, float64(job.Frames)/raster.FrameRate().Float64(), 2.0, "%s on %s", it.Spec, raster.Name)
				if p := job.Scene.Period; p > 1 {
					assert.Zero(t, job.Frames%p, "%s on %s: the video jumps where it is repeated", it.Spec, raster.Name)
				}
			}
		}
		assert.Less(t, total, 58_000_000, raster.Name) // 2 MB are left for pages
	}
}

// Longer videos of what moves hold whole periods.
func TestFrames(t *testing.T) {
	r := &run{Request: &Request{}, Variant: Variant{Raster: timing.Lookup("480i"), Frames: 1}}
	assert.Equal(t, 1, r.frames(1))
	assert.Equal(t, 10, r.frames(10))
	assert.Equal(t, 59, r.frames(200), "2 s at 29.97 frames a second")
	r.Frames = 25
	assert.Equal(t, 25, r.frames(1))
	assert.Equal(t, 30, r.frames(10))
	assert.Equal(t, "moving: it jumps where it is repeated", (&madeFile{Format: mustFormat(t, "y4m"), Frames: 59, Period: 200}).loop())
}

// Files for a device have its size, and names that it can read.
func TestDevice(t *testing.T) {
	d, err := device.Find("pixel-256")
	require.NoError(t, err)
	short := *d
	short.ShortNames = true
	q := request(filepath.Join(t.TempDir(), "kit"), "480i")
	q.Device, q.Edges = &short, d.Edges()
	q.Variants[0].Raster = d.Rasters[0]
	q.Variants[0].Plan = colorimetry.Plan{Wire: d.Outputs[0], Player: d.Outputs[0]}
	q.Patterns = []string{"levels", "bars-full"}
	res, err := Make(context.Background(), q)
	require.NoError(t, err)
	assert.Positive(t, res.Beyond)
	files := tree(t, q.Dir)
	require.Contains(t, files, "01ONETOO.PNG")
	assert.Equal(t, []byte{0, 0, 1, 0, 0, 0, 0, 240}, files["01ONETOO.PNG"][16:24], "IHDR: 256 by 240")
	readme := string(files["README.txt"])
	for _, want := range []string{"How to copy", "No scaling", "eight characters", "213 TV lines", "lethal voltages", "(!)", "absent: PLUGE"} {
		assert.Contains(t, readme, want)
	}
	for line := range bytes.Lines(files["README.txt"]) {
		assert.LessOrEqual(t, len(bytes.TrimRight(line, "\n")), textWidth, "%s", line)
	}
	assert.Contains(t, string(files["readings.txt"]), "what the device really gives")

	for _, longest := range []int{20, 12, 8, 6} {
		short.ShortNames, short.NameLength = false, longest
		runs, err := q.runs()
		require.NoError(t, err)
		seen := map[string]bool{}
		for _, it := range runs[0].items {
			name := runs[0].fileName(it, ".png")
			assert.LessOrEqual(t, len(name), longest, name)
			assert.False(t, seen[name], "%s stands twice", name)
			seen[name] = true
		}
	}

	q.Formats, q.Force = []string{"y4m"}, true
	_, err = Make(context.Background(), q)
	assert.ErrorContains(t, err, "device pixel-256 does not read y4m; it reads png")
}

// BenchmarkSeveral is the whole catalogue on 9 rasters with 2 setups as PNG,
// which is to take less than 20 s on two cores.
func BenchmarkSeveral(b *testing.B) {
	if testing.Short() {
		b.Skip("takes ten seconds")
	}
	for b.Loop() {
		q := request(filepath.Join(b.TempDir(), "kit"), "480i")
		q.Variants, q.Formats = nil, []string{"png"}
		for _, r := range timing.Rasters() {
			if len(q.Variants) == 18 || r.Scan.System != timing.System525 && len(q.Variants) < 16 {
				continue
			}
			plan := colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}
			if r.Scan.System == timing.System625 {
				plan = colorimetry.Plan{Wire: colorimetry.PAL, Player: colorimetry.PAL}
			}
			q.Variants = append(q.Variants, Variant{Raster: r, Setup: "as-player", Frames: 1}, Variant{Raster: r, Setup: "0", Plan: plan, Frames: 1})
		}
		if _, err := Make(context.Background(), q); err != nil {
			b.Fatal(err)
		}
	}
}
