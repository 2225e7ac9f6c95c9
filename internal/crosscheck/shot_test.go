package crosscheck

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/goldentest"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// probes are the patterns that stand for all where a test does not take all:
// colors inside and outside the R'G'B' cube, levels beyond black and white
// with the finest detail, and every luma code there is.
var probes = []string{"bars-eg1", "one-to-one", "ramp"}

// thorough are the patterns that go through every raster and format. They have
// every way of making samples that there is; the rest of the catalogue goes
// through two rasters and two formats, so that the tests stay quick.
var thorough = []string{
	"one-to-one", "flat", "bars-split-red", "crosshatch", "dots", "crosshatch-dots", "circles", "safe-area",
	"pluge", "near-black", "window", "staircase", "ramp", "bars-full", "bars-eia189", "bars-eg1", "bars-rp219",
}

// specs are the thorough patterns that a test takes, at their defaults.
func specs() []string {
	if testing.Short() {
		return slices.Clone(probes)
	}
	return slices.Clone(thorough)
}

// isThorough reports whether a spelling is of one of the thorough patterns.
func isThorough(spec string) bool {
	name, _, _ := strings.Cut(spec, " ")
	return slices.Contains(thorough, name)
}

// others are the rest of the catalogue, at its defaults.
func others() (list []string) {
	if testing.Short() {
		return nil
	}
	for _, e := range pattern.All() {
		if !isThorough(e.Name) {
			list = append(list, e.Name)
		}
	}
	return list
}

// otherRasters are those that the rest of the catalogue goes through.
func otherRasters() []*timing.Raster {
	return []*timing.Raster{timing.Lookup("480i"), timing.Lookup("288p")}
}

// rastersOf are the rasters that a spelling goes through.
func rastersOf(spec string) []*timing.Raster {
	if isThorough(spec) {
		return rasters()
	}
	return otherRasters()
}

// rasters are the rasters that a test takes.
func rasters() []*timing.Raster {
	if testing.Short() {
		return []*timing.Raster{timing.Lookup("480i"), timing.Lookup("288p")}
	}
	return timing.Rasters()
}

// A shot is one picture on its way to a file.
type shot struct {
	spec   string
	raster *timing.Raster
	choice format.Choice
	plan   colorimetry.Plan
	tags   [][2]string
}

func (q shot) String() string { return fmt.Sprintf("%s on %s", q.spec, q.raster.Name) }

// layout does what the command line does with its flags.
func (q shot) layout() (*render.Job, error) {
	p, err := pattern.Parse(q.spec)
	if err != nil {
		return nil, err
	}
	f, err := format.Resolve(q.choice)
	if err != nil {
		return nil, err
	}
	r := render.Request{
		Pattern: p, Spec: q.spec, Raster: q.raster, Aspect: timing.R(4, 3),
		Plan: q.plan, Format: f, Frames: 1, Tags: q.tags,
	}
	return r.Layout()
}

func (q shot) job(t testing.TB) *render.Job {
	t.Helper()
	j, err := q.layout()
	require.NoError(t, err, "%v as %+v", q, q.choice)
	return j
}

// file returns the whole file of a job.
func file(t testing.TB, j *render.Job) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, j.Write(context.Background(), &b), j.Spec)
	return b.Bytes()
}

// bytes returns the whole file.
func (q shot) bytes(t testing.TB) []byte {
	t.Helper()
	return file(t, q.job(t))
}

// hash returns that of the whole file; other than bytes it may run in any
// goroutine.
func (q shot) hash() (goldentest.Hash, error) {
	j, err := q.layout()
	if err != nil {
		return "", err
	}
	var b bytes.Buffer
	if err := j.Write(context.Background(), &b); err != nil {
		return "", err
	}
	return goldentest.HashOf(b.Bytes()), nil
}

// A reel is the frames of several jobs as one stream, made as they are read.
// Of a y4m only the first header is kept: the pictures have one size.
type reel struct {
	jobs []*render.Job
	next int
	buf  bytes.Buffer
}

func (r *reel) Read(p []byte) (int, error) {
	for r.buf.Len() == 0 {
		if r.next == len(r.jobs) {
			return 0, io.EOF
		}
		j := r.jobs[r.next]
		if err := j.Write(context.Background(), &r.buf); err != nil {
			return 0, fmt.Errorf("%s on %s: %w", j.Spec, j.Raster.Name, err)
		}
		if j.Format.Name == "y4m" && r.next > 0 {
			if _, err := r.buf.ReadBytes('\n'); err != nil {
				return 0, err
			}
		}
		r.next++
	}
	return r.buf.Read(p)
}

// A batch is all patterns on all rasters of one size, in one format.
type batch struct {
	w, h       int
	interlaced bool
	jobs       []*render.Job
}

// batches lays every pattern out on every raster that the format can have. It
// holds the refusals to the one that is right: 243 lines of a field cannot be
// paired for 4:2:0.
func batches(t testing.TB, specs []string, rasters []*timing.Raster, c format.Choice) []batch {
	t.Helper()
	var all []batch
	for _, r := range rasters {
		i := slices.IndexFunc(all, func(b batch) bool { return b.w == r.Width && b.h == r.Height() })
		for _, s := range specs {
			j, err := shot{spec: s, raster: r, choice: c}.layout()
			if r.Name == "486i" && chroma420(c) {
				require.ErrorContains(t, err, "use a 4:2:2 or 4:4:4 format", "%s on 486i", s)
				continue
			}
			require.NoError(t, err, "%s on %s as %+v", s, r.Name, c)
			if i < 0 {
				i = len(all)
				all = append(all, batch{w: r.Width, h: r.Height(), interlaced: r.Scan.Interlaced()})
			}
			require.Equal(t, all[i].interlaced, r.Scan.Interlaced(), "rasters of one size")
			all[i].jobs = append(all[i].jobs, j)
		}
	}
	return all
}

func chroma420(c format.Choice) bool {
	return c.Chroma == "420" || strings.Contains(c.Name, "420") || c.Name == "nv12"
}

// A streamFormat is a choice and what the converter calls it.
type streamFormat struct {
	choice format.Choice
	raw    string // pixel format of raw frames, or "y4m"
	planes string // what a y4m holds
}

func (f streamFormat) String() string {
	if f.raw == "y4m" {
		return "y4m-" + f.planes
	}
	return f.choice.Name
}

// streamFormats are all formats of raw frames and all kinds of y4m, but 4:2:0
// of DV, which one raster has and dv_test.go tries. A raw format that is missing here fails TestEveryStreamFormat.
func streamFormats() []streamFormat {
	raw := func(name, theirs string) streamFormat {
		return streamFormat{choice: format.Choice{Name: name}, raw: theirs}
	}
	y4m := func(chroma string, depth int, planes string) streamFormat {
		return streamFormat{format.Choice{Name: "y4m", Chroma: chroma, Depth: depth}, "y4m", planes}
	}
	return []streamFormat{
		y4m("420", 8, "yuv420p"), y4m("422", 8, "yuv422p"), y4m("444", 8, "yuv444p"), y4m("411", 8, "yuv411p"),
		y4m("420", 10, "yuv420p10le"), y4m("422", 10, "yuv422p10le"), y4m("444", 10, "yuv444p10le"),
		raw("uyvy", "uyvy422"), raw("yuyv", "yuyv422"), raw("v210", "v210"),
		raw("i420", "yuv420p"), raw("i411", "yuv411p"), raw("i422", "yuv422p"), raw("i444", "yuv444p"), raw("nv12", "nv12"),
		raw("yuv420p10", "yuv420p10le"), raw("yuv422p10", "yuv422p10le"), raw("yuv444p10", "yuv444p10le"),
		raw("rgb24", "rgb24"), raw("rgb565", "rgb565le"), raw("rgb555", "rgb555le"),
	}
}

// TestEveryStreamFormat would catch a format that was added and is not read
// back by anybody. BT.656, PNG and BMP have tests of their own.
func TestEveryStreamFormat(t *testing.T) {
	tried := []string{"png", "bmp", "bmp24", "bt656"}
	for _, f := range streamFormats() {
		tried = append(tried, f.choice.Name)
	}
	for _, name := range format.Names() {
		require.Contains(t, tried, name)
	}
}
