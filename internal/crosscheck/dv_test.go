package crosscheck

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"backporch/internal/format"
	"backporch/internal/ingest"
	"backporch/internal/oracle"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tests of this file are of the samplings of DV: 4:1:1 in the crop of 525
// lines and its own 4:2:0 in that of 625.

// TestStoredCodesOfDV reads 4:2:0 of DV, in both forms that hold it, by the
// converter and holds every sample to the twin, as TestStoredCodes does for all
// that other rasters have too. It would catch CR and CB on each other's lines.
func TestStoredCodesOfDV(t *testing.T) {
	r := timing.Lookup("576i-dv")
	list := append(append(specs(), others()...), "circles color=magenta", "crosshatch color=red")
	for _, f := range []streamFormat{
		{format.Choice{Name: "y4m", Chroma: "420dv"}, "y4m", "yuv420p"},
		{format.Choice{Name: "i420", Chroma: "420dv"}, "yuv420p", "yuv420p"},
	} {
		var jobs []*render.Job
		for _, s := range list {
			jobs = append(jobs, shot{spec: s, raster: r, choice: f.choice}.job(t))
		}
		s := oracle.Stream{Format: f.raw, Planes: f.planes, W: r.Width, H: r.Height(), Data: &reel{jobs: jobs}}
		n := oracle.ReadCodes(t, s, func(n int, c *oracle.Codes) {
			if n < len(jobs) {
				checkCodes(t, jobs[n], c)
			}
		})
		assert.Equal(t, len(jobs), n, "frames of %v", f)
	}
}

// TestDecodedColorsOfDV does the same by zimg, which knows where the chroma of
// DV lies by the tag alone.
func TestDecodedColorsOfDV(t *testing.T) {
	r := timing.Lookup("576i-dv")
	var jobs []*render.Job
	for _, s := range specs() {
		jobs = append(jobs, shot{spec: s, raster: r, choice: format.Choice{Name: "y4m", Chroma: "420dv"}}.job(t))
	}
	s := oracle.Stream{Format: "y4m", Planes: "yuv420p", W: r.Width, H: r.Height(), Interlaced: true, Data: &reel{jobs: jobs}}
	n := oracle.ReadColors(t, s, func(n int, c *oracle.Colors) {
		if n < len(jobs) {
			checkColors(t, jobs[n], c)
		}
	})
	assert.Equal(t, len(jobs), n, "frames")
}

// TestOtherChromaOfDV: 4:2:0 of DV is not the other 4:2:0. Of the slanted edges
// of circles only the chroma differs, and each tag goes with its own picture.
func TestOtherChromaOfDV(t *testing.T) {
	get := func(chroma string) []byte {
		return shot{spec: "circles color=magenta", raster: timing.Lookup("576i-dv"), choice: format.Choice{Name: "i420", Chroma: chroma}}.bytes(t)
	}
	own, other := get("420dv"), get("420")
	size := 720 * 576
	assert.True(t, bytes.Equal(own[:size], other[:size]), "luma")
	assert.False(t, bytes.Equal(own[size:size*5/4], other[size:size*5/4]), "CB")
	assert.False(t, bytes.Equal(own[size*5/4:], other[size*5/4:]), "CR")
}

// dvPictures are what DV of each system is tried with.
var dvPictures = []struct {
	raster, chroma, planes, site string
	across, down                 int
}{
	// Of 4:1:1 the prober names no place in a y4m; the tag has only one.
	{"480i-dv", "411", "yuv411p", "", 4, 1},
	{"576i-dv", "420dv", "yuv420p", "topleft", 2, 2},
}

// TestTagsOfDV lets ffprobe read the headers: bottom field first, and chroma of
// 4:2:0 co-sited with a line, which it calls topleft, not left.
func TestTagsOfDV(t *testing.T) {
	for _, p := range dvPictures {
		name := filepath.Join(t.TempDir(), "a.y4m")
		b := shot{spec: "bars-full", raster: timing.Lookup(p.raster), choice: format.Choice{Name: "y4m", Chroma: p.chroma}}.bytes(t)
		require.NoError(t, os.WriteFile(name, b, 0o600))
		got := probe(t, name)
		assert.Equal(t, p.planes, got.Format)
		assert.Equal(t, "bb", got.Order)
		assert.Equal(t, "tv", got.Range)
		if p.site != "" {
			assert.Equal(t, p.site, got.Site)
		}
	}
}

// TestThroughDV sends bars through the converter's DV encoder and decoder, which
// take 4:1:1 of 525 lines and 4:2:0 of 625 as they are, and compares the codes
// inside the named patches, flat areas that coding at 25 Mbit/s keeps within
// rounding. It would catch a sampling or a size that is not DV's,
// and planes in another order. The stream must say bottom field first.
func TestThroughDV(t *testing.T) {
	tool := oracle.Need(t, "ffmpeg")
	for _, p := range dvPictures {
		for _, spec := range []string{"bars-eg1", "bars-full"} {
			t.Run(p.raster+" "+spec, func(t *testing.T) {
				j := shot{spec: spec, raster: timing.Lookup(p.raster), choice: format.Choice{Name: "y4m", Chroma: p.chroma}}.job(t)
				j.Frames = 2
				dv := pipe(t, tool, file(t, j), "-f", "yuv4mpegpipe", "-i", "pipe:0", "-c:v", "dvvideo", "-f", "dv", "pipe:1")
				// 10 or 12 sequences of 150 blocks of 80 bytes a frame (SMPTE 314M,
				// IEC 61834-2: memory).
				sequences := map[string]int{"480i-dv": 10, "576i-dv": 12}[p.raster]
				require.Len(t, dv, 2*sequences*150*80)
				name := filepath.Join(t.TempDir(), "a.dv")
				require.NoError(t, os.WriteFile(name, dv, 0o600))
				probed := probeFrames(t, name)
				assert.Equal(t, "1,0\n1,0\n", probed, "interlaced, not the top field first")

				raw := pipe(t, tool, dv, "-f", "dv", "-i", "pipe:0", "-f", "rawvideo", "-pix_fmt", p.planes, "pipe:1")
				size := j.Format.FrameSize(j.Raster) - len("FRAME\n")
				require.Len(t, raw, 2*size)
				for n := range 2 {
					worst, compared := worstInPatches(j, raw[n*size:(n+1)*size], p.across, p.down)
					t.Logf("frame %d: worst differences %v of %v samples", n, worst, compared)
					for c, d := range worst {
						assert.LessOrEqual(t, d, dvTolerance, "plane %d", c)
						assert.Greater(t, compared[c], size/8/p.across/p.down, "plane %d: samples within patches", c)
					}
				}
			})
		}
	}
}

// dvTolerance is in codes: 1 was measured with version 5.1.9, and another may
// round otherwise.
const dvTolerance = 2

// pipe runs the converter on bytes.
func pipe(t *testing.T, tool string, in []byte, args ...string) []byte {
	t.Helper()
	return pipeRaw(t, tool, in, append([]string{"-hide_banner", "-v", "error"}, args...)...)
}

// pipeRaw runs any tool on bytes.
func pipeRaw(t *testing.T, tool string, in []byte, args ...string) []byte {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), tool, args...)
	var out, complaints bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = bytes.NewReader(in), &out, &complaints
	require.NoError(t, cmd.Run(), "%s", complaints.String())
	return out.Bytes()
}

// probeFrames returns of each frame whether it is interlaced, and its top field
// first.
func probeFrames(t *testing.T, name string) string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), oracle.Need(t, "ffprobe"), "-v", "error",
		"-show_entries", "frame=interlaced_frame,top_field_first", "-of", "csv=p=0", name).Output()
	require.NoError(t, err)
	return string(out)
}

// worstInPatches compares planes of 8 bits with what the flat patches of a job
// want, and returns the worst difference of each in codes, and of how many
// samples.
func worstInPatches(j *render.Job, b []byte, across, down int) (worst [3]int, compared [3]int) {
	r, g := j.Raster, geometryOf(j.Raster)
	z := &twin{across: across, down: down, field: down == 2, dv: down == 2}
	for c := range worst {
		a, d := across, down
		if c == 0 {
			a, d = 1, 1
		}
		w, h := r.Width/a, r.Height()/d
		for _, q := range j.Scene.Patches {
			if q.Kind != pattern.Level {
				continue
			}
			in := q.Interior(j.View)
			want := int(math.Floor(scale(c, [3]float64{q.Want.Y, q.Want.CB, q.Want.CR}[c], 8) + 0.5))
			for k := range h {
				y := g.y(r, k)
				if d == 2 {
					y = z.chromaRow(g, r, c, k)
				}
				for i := range w {
					x := g.x(float64(i * a))
					if x < in.X0 || x > in.X1 || y < in.Y0 || y > in.Y1 {
						continue
					}
					compared[c]++
					off := int(b[k*w+i]) - want
					worst[c] = max(worst[c], off, -off)
				}
			}
		}
		b = b[w*h:]
	}
	return worst, compared
}

// TestReadingDV: what the program reads of its own y4m of DV has in the middle
// of the bars what it was made from, on whichever lines CR and CB lie.
func TestReadingDV(t *testing.T) {
	for _, p := range dvPictures {
		r := timing.Lookup(p.raster)
		for _, spec := range []string{"bars-eg1", "bars-full"} {
			j := shot{spec: spec, raster: r, choice: format.Choice{Name: "y4m", Chroma: p.chroma}}.job(t)
			picture, err := ingest.Read("a.y4m", bytes.NewReader(file(t, j)), ingest.Options{})
			require.NoError(t, err)
			assert.Same(t, r, picture.Raster)
			// On its own samples, all of them.
			f := picture.On(r)
			require.Equal(t, r.Lines, f.Raster.Lines)
			g, flat := geometryOf(r), 0
			reach := 8 * float64(p.across) * (g.x(1) - g.x(0)) // of the filter between samples
			for _, q := range j.Scene.Patches {
				in := q.Interior(j.View)
				if q.Kind != pattern.Level || in.X1-in.X0 < 2*reach {
					continue
				}
				flat++
				for k := range r.Height() {
					if y := g.y(r, k); y < in.Y0 || y > in.Y1 {
						continue
					}
					i := int(((in.X0+in.X1)/2 - g.x(0)) / (g.x(1) - g.x(0)))
					for c, want := range []float64{q.Want.Y, q.Want.CB, q.Want.CR} {
						// Half a code of 224, and what the filter leaves.
						require.InDelta(t, want, f.Planes[c].Row(k)[i], 0.5/219+0.001, "%s of %s on %s, component %d, row %d", q.Name, spec, p.raster, c, k)
					}
				}
			}
			assert.GreaterOrEqual(t, flat, 7, "patches of %s on %s", spec, p.raster)
		}
	}
}
