package faultcheck

import (
	"bytes"
	"context"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/check"
	"backporch/internal/deliver"
	"backporch/internal/ffmpeg"
	"backporch/internal/ingest"
	"backporch/internal/measure"
	"backporch/timing"
)

// alarms fails for what is found in a capture that has no such fault.
func alarms(t *testing.T, r *measure.Result, real ...measure.Fault) {
	for _, f := range r.Findings {
		known := f.Confidence < 0.5
		for _, k := range real {
			known = known || k == f.Fault
		}
		if !known {
			assert.Fail(t, "a fault that is not there", told(r))
			return
		}
	}
}

// TestMovingBarDelivered: a picture that moves, through each target.
func TestMovingBarDelivered(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	for _, target := range deliver.Targets() {
		for _, raster := range []string{"480i", "576i"} {
			t.Run(target.Name+" "+raster, func(t *testing.T) {
				s := newSheet(t, "moving-bar", raster, 1)
				q := deliver.Request{Picture: s.job.Request, Target: target, Frames: 3, Audio: deliver.NoAudio}
				job, err := q.Layout()
				require.NoError(t, err)
				job.Frames = 3 // no loop
				path := filepath.Join(t.TempDir(), "a"+target.Extension)
				require.NoError(t, job.Encode(context.Background(), tool, path))
				src, err := ingest.OpenOther(context.Background(), tool, path)
				require.NoError(t, err)
				m, err := src.Mean(context.Background(), 1, nil)
				require.NoError(t, err)
				require.NoError(t, src.Close())
				r, err := measure.Measure(&measure.Request{Picture: check.Picture(m), Name: s.name, Scene: job.Scene, View: job.View, Raster: job.Raster})
				require.NoError(t, err)
				alarms(t, r)
			})
		}
	}
}

// TestNoiseAlone: noise of 0.5 to 2 % of white is no fault, of one frame and of
// the mean of twenty. The filter's noise is of even distribution over 2n+1
// codes (memory), whose deviation is n/sqrt(3).
func TestNoiseAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	patterns := []string{"bars-eg1", "multiburst", "circles", "staircase"}
	for _, spec := range patterns {
		s := newSheet(t, spec, "480i", 1)
		for _, strength := range []string{"2", "6", "8"} {
			noise := "noise=alls=" + strength + ":all_seed=7"
			for name, frames := range map[string]string{"one": "1", "mean of 20": "20"} {
				t.Run(spec+" "+strength+" "+name, func(t *testing.T) {
					alarms(t, s.measure(t, s.mean(t, tool, "loop=loop=19:size=1,"+noise+":allf=t,trim=end_frame="+frames)))
				})
			}
		}
	}
}

// mean is the mean of all frames that come out of a chain.
func (s *sheet) mean(t testing.TB, tool *ffmpeg.Tool, chain string) *measure.Picture {
	var out bytes.Buffer
	require.NoError(t, tool.Run(context.Background(), bytes.NewReader(s.file), &out, "-f", "yuv4mpegpipe", "-i", "pipe:0",
		"-vf", chain, "-f", "rawvideo", "-pix_fmt", "yuv444p", "pipe:1"), chain)
	size := 3 * s.raster.Width * s.raster.Height()
	n := out.Len() / size
	require.Positive(t, n)
	p := s.picture(out.Bytes()[:size])
	p.Frames = n
	if n == 1 {
		return p
	}
	for c := range p.Planes {
		p.Noise[c] = make([]float32, len(p.Planes[c]))
	}
	first := [3][]float32{}
	sum, square := [3][]float64{}, [3][]float64{}
	for k := range n {
		q := s.picture(out.Bytes()[k*size : (k+1)*size])
		for c := range q.Planes {
			if k == 0 {
				first[c], sum[c], square[c] = q.Planes[c], make([]float64, len(q.Planes[c])), make([]float64, len(q.Planes[c]))
			}
			for i, v := range q.Planes[c] {
				d := float64(v - first[c][i])
				sum[c][i] += d
				square[c][i] += d * d
			}
		}
	}
	for c := range p.Planes {
		for i := range p.Planes[c] {
			m := sum[c][i] / float64(n)
			p.Planes[c][i] = first[c][i] + float32(m)
			p.Noise[c][i] = float32(math.Sqrt(max(0, square[c][i]-float64(n)*m*m) / float64(n-1)))
		}
	}
	return p
}

// TestBlurredIsNotMoved: blur of both directions takes bandwidth, and moves
// nothing.
func TestBlurredIsNotMoved(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	nominal := measure.Nominal(timing.Lookup("480i"))
	patterns := []string{"bars-eg1", "circles", "multiburst", "safe-area", "crosshatch", "one-to-one", "vectors", "bars-rp219"}
	for _, spec := range patterns {
		s := newSheet(t, spec, "480i", 1)
		chains := []string{"gblur=sigma=0.8", "gblur=sigma=1.2", "gblur=sigma=2"}
		within := []float64{0.3, 0.3, 0.5} // samples and rows
		for i, p := range s.captures(t, tool, chains) {
			t.Run(spec+" "+chains[i], func(t *testing.T) {
				if i == 1 {
					skipKnown(t, spec, measure.Bandwidth, blurred)
				}
				r := s.measure(t, p)
				right, down, _, _ := r.Place.Against(nominal)
				assert.InDelta(t, 0, right, within[i], "samples: %s", told(r))
				assert.InDelta(t, 0, down, within[i], "rows: %s", told(r))
				alarms(t, r, measure.Bandwidth, measure.ChromaBandwidth)
			})
		}
	}
}

// TestSharpenedBothWays: sharpening of both directions is sharpening.
func TestSharpenedBothWays(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	for _, spec := range []string{"bars-eg1", "multiburst", "circles", "safe-area", "crosshatch color=red"} {
		s := newSheet(t, spec, "480i", 1)
		chains := []string{"unsharp=5:5:0.5", "unsharp=5:5:1.0"}
		for i, p := range s.captures(t, tool, chains) {
			t.Run(spec+" "+chains[i], func(t *testing.T) {
				alarms(t, s.measure(t, p), measure.Sharpened, measure.BelowBlackCut, measure.AboveWhiteCut)
			})
		}
	}
}
