package deliver

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/timing"
)

// needAuthor is needTool for dvdauthor.
func needAuthor(t testing.TB) *Author {
	t.Helper()
	a, err := FindAuthor()
	if err != nil {
		if os.Getenv("BACKPORCH_REQUIRE_TOOLS") != "" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	return a
}

// need returns the path of a program that judges discs where it is installed.
func need(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed", name)
	}
	return path
}

func discRequest(dir, raster string, specs ...string) *DiscRequest {
	r := timing.Lookup(raster)
	rate := r.FrameRate()
	var choices []DiscChoice
	for _, s := range specs {
		choices = append(choices, DiscChoice{s, "Convergence", "The center first."})
	}
	return &DiscRequest{
		Dir: dir, Choices: choices, Program: "backporch test", Title: "Bench A",
		Picture: render.Request{Raster: r, Aspect: timing.R(4, 3)}, Frames: int((10*rate.Num + rate.Den - 1) / rate.Den),
	}
}

// madeDisc makes a disc and returns its folder and proof.
func madeDisc(t testing.TB, q *DiscRequest) (*Disc, *DiscProof) {
	t.Helper()
	tool, author := needTool(t), needAuthor(t)
	d, err := q.Layout()
	require.NoError(t, err)
	p, err := d.Make(context.Background(), tool, author)
	require.NoError(t, err)
	return d, p
}

func TestDisc(t *testing.T) {
	if testing.Short() {
		t.Skip("encodes for some seconds")
	}
	for name, change := range map[string]struct {
		raster string
		to     func(q *DiscRequest)
		video  string
		sound  string
	}{
		"525, silent":     {"480i", func(*DiscRequest) {}, "MPEG-2, 525 lines, 720x480, 4:3", "AC-3, 48000 Hz, 2 channels"},
		"625, tone, wide": {"576i", func(q *DiscRequest) { q.Audio, q.Picture.Aspect = Tone, timing.R(16, 9) }, "MPEG-2, 625 lines, 720x576, 16:9, letterbox on a 4:3 set", "AC-3, 48000 Hz, 2 channels"},
		"525, still":      {"480i", func(q *DiscRequest) { q.Still = true }, "MPEG-2, 525 lines, 720x480, 4:3", "none"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "disc")
			q := discRequest(dir, change.raster, "bars-full set=75/0/75/0", "crosshatch", "moving-bar fields=8")
			change.to(q)
			d, p := madeDisc(t, q)
			rows := map[string]string{}
			for _, r := range p.Rows {
				assert.True(t, r.OK, "%s: want %s, got %s", r.Name, r.Want, r.Got)
				rows[r.Name] = r.Got
			}
			assert.Equal(t, change.video, rows["video"])
			assert.Equal(t, change.sound, rows["sound"])
			for _, c := range p.Pictures {
				assert.LessOrEqual(t, c.Off, 2.0, "codes, %s", c.Spec)
				assert.NotEmpty(t, c.Proof.Patches)
			}
			checkFolder(t, dir, p)
			title := ""
			if change.sound != "none" {
				title = "AC3"
			}
			readByOthers(t, filepath.Join(dir, "bench-a.iso"), d, title)

			_, err := d.Make(context.Background(), needTool(t), needAuthor(t))
			assert.ErrorContains(t, err, "already exists; use --force")
		})
	}
}

// checkFolder looks at what lies in the folder: what disc.json lists, and no
// more.
func checkFolder(t *testing.T, dir string, p *DiscProof) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, "disc.json"))
	require.NoError(t, err)
	var v struct {
		Schema string
		Proved bool
		Files  []struct {
			Name   string
			Bytes  int64
			SHA256 string
		}
	}
	require.NoError(t, json.Unmarshal(b, &v))
	assert.Equal(t, DiscManifest.Schema, v.Schema)
	assert.True(t, v.Proved)
	listed := map[string]bool{"disc.json": true}
	for _, f := range v.Files {
		listed[f.Name] = true
		info, err := os.Stat(filepath.Join(dir, f.Name))
		require.NoError(t, err)
		assert.Equal(t, f.Bytes, info.Size(), f.Name)
		sum, err := sumOf(context.Background(), filepath.Join(dir, f.Name))
		require.NoError(t, err)
		assert.Equal(t, f.SHA256, sum, f.Name)
	}
	require.NoError(t, filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			rel, _ := filepath.Rel(dir, path)
			assert.True(t, listed[filepath.ToSlash(rel)], "%s is not listed", rel)
		}
		return err
	}))
	entries, err := os.ReadDir(filepath.Join(dir, "AUDIO_TS"))
	require.NoError(t, err)
	assert.Empty(t, entries)
	outside, err := os.ReadDir(filepath.Dir(dir))
	require.NoError(t, err)
	assert.Len(t, outside, 1, "nothing hidden stays beside")
	assert.Len(t, p.Files, len(v.Files))
}

// readByOthers asks programs that share nothing with this one: xorriso reads the
// ISO 9660 side of the image, lsdvd (libdvdread) the UDF side and the
// navigation, udfinfo the descriptors of UDF.
func readByOthers(t *testing.T, image string, d *Disc, sound string) {
	t.Helper()
	t.Run("xorriso", func(t *testing.T) {
		out, err := exec.Command(need(t, "xorriso"), "-indev", image, "-find", "/VIDEO_TS", "-exec", "report_lba").Output()
		require.NoError(t, err)
		f, err := os.Open(image)
		require.NoError(t, err)
		defer f.Close()
		files, _, err := readUDF(f)
		require.NoError(t, err)
		lines := regexp.MustCompile(`(?m)^File data lba: +0 , +(\d+) , +\d+ , +(\d+) , '/(.*)'$`).FindAllStringSubmatch(string(out), -1)
		assert.Len(t, lines, 5)
		for _, m := range lines {
			e := files[m[3]]
			assert.Equal(t, []string{m[1], m[2]}, []string{fmt.Sprint(e.Sector), fmt.Sprint(e.Size)}, "sector and bytes of %s", m[3])
		}
	})
	t.Run("lsdvd", func(t *testing.T) {
		out, err := exec.Command(need(t, "lsdvd"), "-x", image).Output()
		require.NoError(t, err)
		text := string(out)
		assert.Contains(t, text, "Disc Title: "+d.Title)
		assert.Contains(t, text, fmt.Sprintf("Chapters: %02d, Cells: %02d", len(d.Jobs), len(d.Jobs)))
		assert.Equal(t, d.Wide, strings.Contains(text, "Aspect ratio: 16/9"))
		assert.Equal(t, d.standard() == "pal", strings.Contains(text, "Format: PAL"))
		assert.Equal(t, sound != "", strings.Contains(text, "Format: ac3, Frequency: 48000"))
	})
	t.Run("udfinfo", func(t *testing.T) {
		out, err := exec.Command(need(t, "udfinfo"), image).CombinedOutput()
		require.NoError(t, err)
		text := string(out)
		assert.Contains(t, text, "udfrev=1.02\n")
		assert.Contains(t, text, "integrity=closed\n")
		assert.Contains(t, text, "numfiles=5\nnumdirs=3\n")
		assert.NotRegexp(t, `(?i)error|warning|wrong|invalid`, text)
	})
}

func TestDiscRefused(t *testing.T) {
	many := make([]DiscChoice, 100)
	for name, c := range map[string]struct {
		change func(q *DiscRequest)
		want   string
	}{
		"none":       {func(q *DiscRequest) { q.Choices = nil }, "name some with --patterns"},
		"100":        {func(q *DiscRequest) { q.Choices = many }, "100 patterns are more than the 99 programs that a title of a disc can have; choose fewer with --patterns, or make two discs"},
		"too short":  {func(q *DiscRequest) { q.Frames = 299 }, "--seconds: 9.98 s is too short for a loop of a disc"},
		"too long":   {func(q *DiscRequest) { q.Frames = 30000 }, "--seconds: 1001 s is more than a loop of a disc needs; use 10 to 600"},
		"music":      {func(q *DiscRequest) { q.Audio = "music" }, `--audio: "music" is none of none, silent and tone`},
		"caption":    {func(q *DiscRequest) { q.Picture.Ident = "ä" }, "ident: there is no letter"},
		"sound":      {func(q *DiscRequest) { q.Still, q.Audio = true, Tone }, "leave --audio out, or leave --still out"},
		"title":      {func(q *DiscRequest) { q.Title = "Bänke" }, `has 'Ä', which a disc's name cannot have`},
		"long title": {func(q *DiscRequest) { q.Title = strings.Repeat("a", 33) }, "has 33 characters; a disc's name has 1 to 32"},
		"raster":     {func(q *DiscRequest) { q.Picture.Raster = timing.Lookup("240p") }, "a disc cannot have raster 240p: DVD-Video has 480 or 576 interlaced rows; smaller pictures are played as interlaced ones all the same; use target h264-mp4 for 240 lines that are not interlaced"},
		"486 rows":   {func(q *DiscRequest) { q.Picture.Raster = timing.Lookup("486i") }, "a disc cannot have raster 486i: 486 rows are those of the studio, and of them 243 a field cannot be paired for 4:2:0; use --raster 480i"},
		"pattern":    {func(q *DiscRequest) { q.Choices[0].Spec = "crosshach" }, "crosshatch"},
	} {
		t.Run(name, func(t *testing.T) {
			q := discRequest("x", "480i", "crosshatch")
			c.change(q)
			_, err := q.Layout()
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// TestDiscNotProved: of many patterns that fail a few are named, and there is
// no table of a disc that was not made.
func TestDiscNotProved(t *testing.T) {
	p := &DiscProof{}
	for i := range 7 {
		q := &Proof{}
		q.check("matrix", "a", "b", false)
		q.judge()
		p.Pictures = append(p.Pictures, DiscPicture{Number: i + 1, Spec: "flat", Proof: q})
	}
	assert.EqualError(t, &NotProvedError{p}, "the disc is not as it must be (program 1, flat: matrix; program 2, flat: matrix; program 3, flat: matrix; program 4, flat: matrix; program 5, flat: matrix; 2 more), so nothing was written")
	assert.Len(t, p.Summary().Tables, 1)
	p.check("titles", "1", "1")
	assert.Len(t, p.Summary().Tables, 2)
}

func TestDiscLimit(t *testing.T) {
	many := make([]string, DiscPrograms)
	for i := range many {
		many[i] = "flat"
	}
	d, err := discRequest("x", "480i", many...).Layout()
	require.NoError(t, err)
	assert.Equal(t, 99, strings.Count(string(d.control()), "<cell "))
	assert.Contains(t, string(d.control()), "jump program 99;")
	assert.Equal(t, "bench-a.iso", d.ImageName())
}

func TestDiscInterrupted(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool, author := needTool(t), needAuthor(t)
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	q := discRequest(filepath.Join(dir, "disc"), "480i", "flat", "crosshatch")
	q.Progress = func(done, total int) {
		assert.Equal(t, 1200, total, "frames encoded and proved of two patterns")
		if done > 600 {
			cancel()
		}
	}
	d, err := q.Layout()
	require.NoError(t, err)
	_, err = d.Make(ctx, tool, author)
	var stopped *output.InterruptedError
	require.ErrorAs(t, err, &stopped)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, entries, "nothing half-made stays")
}

func TestDiscAuthorFails(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := needTool(t)
	dir := t.TempDir()
	fake := filepath.Join(dir, "dvdauthor")
	says := func(text string) {
		require.NoError(t, os.WriteFile(fake, []byte("#!/bin/sh\necho 'ERR:  "+text+"' >&2\nexit 1\n"), 0o777))
	}
	q := discRequest(filepath.Join(dir, "disc"), "480i", "flat")
	q.Still = true
	d, err := q.Layout()
	require.NoError(t, err)
	for _, text := range []string{"Error 28 -- No space left on device -- flushing output VOB", "Error 0 -- Success -- writing data"} {
		says(text)
		_, err = d.Make(context.Background(), tool, &Author{fake})
		require.EqualError(t, err, q.Dir+": the disk is full; nothing was left under the name "+q.Dir+"; free some space or choose another place with -o")
	}
	says("no such format")
	_, err = d.Make(context.Background(), tool, &Author{fake})
	require.EqualError(t, err, "dvdauthor failed (exit status 1): no such format")
	_, err = os.Stat(q.Dir)
	require.ErrorIs(t, err, os.ErrNotExist)
	_, err = d.Make(context.Background(), tool, &Author{filepath.Join(dir, "absent")})
	require.ErrorContains(t, err, "dvdauthor")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1)
}
