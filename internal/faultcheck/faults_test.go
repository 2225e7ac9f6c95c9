package faultcheck

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/check"
	"backporch/internal/ffmpeg"
	"backporch/internal/format"
	"backporch/internal/ingest"
	"backporch/internal/measure"
	"backporch/internal/oracle"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/timing"
)

// A played is a pattern as a file, and what a check needs to judge captures of
// it.
type played struct {
	name   string
	raster *timing.Raster
	job    *render.Job
	file   []byte // Y4M
}

// play has chroma in 4:2:2.
func play(t testing.TB, spec, raster string, frames int) *played {
	return playIn(t, "422", spec, raster, frames)
}

func playIn(t testing.TB, chroma, spec, raster string, frames int) *played {
	entry, p, _, err := pattern.Resolve(spec)
	require.NoError(t, err)
	f, err := format.Resolve(format.Choice{Name: "y4m", Chroma: chroma})
	require.NoError(t, err)
	q := render.Request{Pattern: p, Spec: spec, Raster: timing.Lookup(raster), Aspect: timing.R(4, 3), Format: f, Frames: frames}
	job, err := q.Layout()
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, job.Write(context.Background(), &b))
	return &played{entry.Name, q.Raster, job, b.Bytes()}
}

// check measures the mean of a source of pictures.
func (p *played) check(t testing.TB, s *ingest.Source) *measure.Result {
	m, err := s.Mean(context.Background(), 0, nil)
	require.NoError(t, err)
	return p.measure(t, check.Picture(m))
}

func (p *played) measure(t testing.TB, m *measure.Picture) *measure.Result {
	r, err := measure.Measure(&measure.Request{Picture: m, Name: p.name, Scene: p.job.Scene, View: p.job.View, Raster: p.raster})
	require.NoError(t, err)
	return r
}

// through returns the file as it comes out of the converter's filters.
func (p *played) through(t testing.TB, tool *ffmpeg.Tool, filters string) *measure.Result {
	var out bytes.Buffer
	require.NoError(t, tool.Run(context.Background(), bytes.NewReader(p.file), &out, "-f", "yuv4mpegpipe", "-i", "pipe:0",
		"-sws_flags", "accurate_rnd+full_chroma_int+full_chroma_inp", "-sws_dither", "none",
		"-vf", filters, "-pix_fmt", "yuv422p", "-strict", "-1", "-f", "yuv4mpegpipe", "pipe:1"), filters)
	// What a filter has done to the range it also notes; the fault is that nobody
	// else knows.
	data := bytes.Replace(out.Bytes(), []byte("XCOLORRANGE=FULL"), []byte("XCOLORRANGE=LIMITED"), 1)
	s, err := ingest.Open("a.y4m", bytes.NewReader(data), ingest.Options{})
	require.NoError(t, err)
	return p.check(t, s)
}

func converter(t testing.TB) *ffmpeg.Tool {
	oracle.Need(t, "ffmpeg")
	tool, err := ffmpeg.Find(context.Background())
	require.NoError(t, err)
	return tool
}

// An injection is a fault made by filters that know nothing of this program.
type injection struct {
	fault   measure.Fault
	value   float64 // NaN: none to compare
	within  float64
	filters string
	besides []measure.Fault // that the same filter does as well
}

// levels is a filter of code arithmetic: of luma y, and of color u and v about
// 128. The filter truncates, so half a code is added.
func levels(y, u, v string) string {
	return fmt.Sprintf("geq=lum='clip(0.5+16+219*(%s),0,255)':cb='clip(128.5+224*(%s),0,255)':cr='clip(128.5+224*(%s),0,255)'", with(y), with(u), with(v))
}

func with(s string) string {
	return strings.NewReplacer("{y}", "((lum(X,Y)-16)/219)", "{u}", "((cb(X,Y)-128)/224)", "{v}", "((cr(X,Y)-128)/224)").Replace(s)
}

// levelFaults: figures of the filters. CB and CR turn on a vectorscope, where U
// is 0.492111 (B'-Y') = 0.872021 CB and V 0.877283 (R'-Y') = 1.229951 CR: SMPTE
// 170M-2004 clause A.3, ITU-R BT.601-5 clause 3.5.2.
func levelInjections() []injection {
	var list []injection
	add := func(f measure.Fault, value, within float64, filters string, besides ...measure.Fault) {
		list = append(list, injection{fault: f, value: value, within: within, filters: filters, besides: besides})
	}
	none := math.NaN()
	for _, g := range []float64{-10, -5, 4} {
		k := fmt.Sprint(1 + g/100)
		add(measure.LumaGain, g, 0.5, levels(k+"*{y}", k+"*{u}", k+"*{v}"), measure.BelowBlackCut, measure.AboveWhiteCut)
		add(measure.ChromaGain, 2*g, 1, levels("{y}", fmt.Sprint(1+2*g/100)+"*{u}", fmt.Sprint(1+2*g/100)+"*{v}"))
	}
	for _, o := range []float64{-3, 2, 4} {
		add(measure.BlackOffset, o, 0.5, levels(fmt.Sprintf("{y}+%g", o/100), "{u}", "{v}"))
	}
	for _, d := range []float64{-12, 4, 8} {
		sin, cos := math.Sincos(d * math.Pi / 180)
		const ratio = 1.229951 / 0.872021
		add(measure.ChromaPhase, d, 0.5, levels("{y}", fmt.Sprintf("%g*{u}-%g*{v}", cos, sin*ratio), fmt.Sprintf("%g*{u}+%g*{v}", sin/ratio, cos)))
	}
	// Setup of 7.5 IRE: SMPTE 170M-2004 clause 10.
	add(measure.SetupAdded, none, 0, levels("0.075+0.925*{y}", "0.925*{u}", "0.925*{v}"))
	add(measure.SetupMissing, none, 0, levels("({y}-0.075)/0.925", "{u}/0.925", "{v}/0.925"), measure.BelowBlackCut, measure.AboveWhiteCut)
	add(measure.RangeSqueezed, none, 0, "scale=in_range=full:out_range=limited:interl=1")
	add(measure.RangeStretched, none, 0, "scale=in_range=limited:out_range=full:interl=1", measure.BelowBlackCut, measure.AboveWhiteCut)
	add(measure.ChromaSwapped, none, 0, "swapuv")
	add(measure.Encoded709, none, 0, "colormatrix=bt601:bt709", measure.BelowBlackCut, measure.AboveWhiteCut)
	add(measure.Decoded709, none, 0, "colormatrix=bt709:bt601", measure.BelowBlackCut, measure.AboveWhiteCut)
	return list
}

func TestFaultsOfLevel(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	patterns := []string{"bars-eg1", "bars-full", "bars-rp219", "vectors", "chroma-steps", "staircase", "pluge", "one-to-one"}
	for _, raster := range []string{"480i", "576i"} {
		for k, spec := range patterns {
			if raster == "576i" && k%4 != 0 {
				continue // the other system with a few
			}
			inject(t, tool, play(t, spec, raster, 1), levelInjections())
		}
	}
}

// inject tries each fault that the pattern shows.
func inject(t *testing.T, tool *ffmpeg.Tool, p *played, list []injection) {
	for _, k := range list {
		if measure.Observes(p.name, k.fault) != measure.Observable {
			continue
		}
		name := fmt.Sprintf("%s %s: %s %g", p.name, p.raster.Name, k.fault, k.value)
		t.Run(name, func(t *testing.T) {
			r := p.through(t, tool, k.filters)
			i := slices.IndexFunc(r.Findings, func(f measure.Finding) bool { return f.Fault == k.fault })
			if assert.GreaterOrEqual(t, i, 0, "not found: %s", told(r)) {
				assert.GreaterOrEqual(t, r.Findings[i].Confidence, 0.85, told(r))
				if !math.IsNaN(k.value) {
					assert.InDelta(t, k.value, r.Findings[i].Value, k.within, told(r))
				}
			}
			for _, f := range r.Findings {
				if f.Confidence >= 0.9 && f.Fault != k.fault && !slices.Contains(k.besides, f.Fault) {
					assert.Fail(t, "a fault that is not there", told(r))
				}
			}
		})
	}
}

// told lists the findings.
func told(r *measure.Result) string {
	var b strings.Builder
	for _, f := range r.Findings {
		fmt.Fprintf(&b, "%s %.3g (%.0f %%); ", f.Fault, f.Value, 100*f.Confidence)
	}
	return b.String()
}
