package faultcheck

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/deliver"
	"backporch/internal/ingest"
	"backporch/internal/measure"
	"backporch/pattern"
)

// row is a filter of luma along the line, whose coefficients are divided by
// their sum.
func row(coefficients string) string {
	const same = "0 0 0 0 1 0 0 0 0"
	return fmt.Sprintf("convolution=0m='%s':1m='%s':2m='%s':0mode=row:1mode=row:2mode=row", coefficients, same, same)
}

// placeInjections: responses of the filters, at 13.5 MHz: 1 2 1 has
// cos2(pi f/fs), which is 3 dB down where the cosine is 0.841; spread to every
// other sample, half of that; 1 4 6 4 1 has the fourth power. -a, 1+2a, -a has
// 1 + 4a sin2(pi f/fs).
func placeInjections() []injection {
	var list []injection
	add := func(f measure.Fault, value, within float64, filters string, besides ...measure.Fault) {
		list = append(list, injection{fault: f, value: value, within: within, filters: filters, besides: besides})
	}
	cosine := func(power float64) float64 { return 13.5 / math.Pi * math.Acos(math.Pow(0.5, 0.5/power)) }
	add(measure.Bandwidth, cosine(2), 0.15, row("0 0 0 1 2 1 0 0 0"))
	add(measure.Bandwidth, cosine(4), 0.15, row("0 0 1 4 6 4 1 0 0"))
	add(measure.Bandwidth, cosine(2)/2, 0.15, row("0 0 1 0 2 0 1 0 0"))
	none := math.NaN()
	for _, a := range []int{1, 2, 3} { // tenths
		add(measure.Sharpened, none, 0, row(fmt.Sprintf("0 0 0 %d %d %d 0 0 0", -a, 10+2*a, -a)), measure.BelowBlackCut, measure.AboveWhiteCut)
	}
	for _, n := range []int{2, 4, 8} {
		add(measure.Shifted, float64(n), 0.2, fmt.Sprintf("geq=lum='if(lt(X,%d),16,lum(X-%d,Y))':cb='if(lt(X,%d),128,cb(X-%d,Y))':cr='if(lt(X,%d),128,cr(X-%d,Y))'", n, n, n/2, n/2, n/2, n/2))
		add(measure.ShiftedY, float64(2*n), 0.2, fmt.Sprintf("geq=lum='if(lt(Y,%d),16,lum(X,Y-%d))':cb='if(lt(Y,%d),128,cb(X,Y-%d))':cr='if(lt(Y,%d),128,cr(X,Y-%d))'", 2*n, 2*n, 2*n, 2*n, 2*n, 2*n))
	}
	for _, w := range []int{700, 684, 648} {
		add(measure.Shape, 100*(float64(w)/720-1), 0.2, fmt.Sprintf("scale=%d:ih:interl=1,pad=720:ih:%d:0", w, (720-w)/4*2), measure.Shifted, measure.Bandwidth) // a scaler's cubic ends early
	}
	add(measure.RowsSwapped, none, 0, "separatefields,shuffleframes=1 0,weave")
	add(measure.Quantized, 5, 0.5, "format=gbrp,lutrgb=r='floor(val*31/255+0.5)*255/31+0.5':g='floor(val*31/255+0.5)*255/31+0.5':b='floor(val*31/255+0.5)*255/31+0.5'", measure.BelowBlackCut, measure.AboveWhiteCut, measure.ChromaBandwidth) // chroma is scaled on the way
	add(measure.BelowBlackCut, none, 0, "lutyuv=y='max(val,16)':u=val:v=val")
	return list
}

func TestFaultsOfDetailAndPlace(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	patterns := []string{"multiburst", "circles", "one-to-one", "bars-eg1", "crosshatch", "pulse-bar", "ramp", "line-twitter"}
	for _, raster := range []string{"480i", "576i"} {
		for k, spec := range patterns {
			if raster == "576i" && k%4 != 0 {
				continue // the other system with a few
			}
			inject(t, tool, play(t, spec, raster, 1), placeInjections())
		}
	}
}

// clean fails where a fault is found that is not there.
func clean(t *testing.T, what string, r *measure.Result, besides ...measure.Fault) {
	for _, f := range r.Findings {
		if f.Confidence < 0.5 {
			continue
		}
		known := false
		for _, b := range besides {
			known = known || b == f.Fault
		}
		assert.True(t, known, "%s: %s", what, told(r))
	}
}

// TestNoFaultInDelivered: what a target makes is no fault.
func TestNoFaultInDelivered(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	for _, target := range deliver.Targets() {
		for _, raster := range []string{"480i", "576i"} {
			for _, spec := range []string{"bars-eg1", "multiburst", "staircase", "crosshatch"} {
				p := play(t, spec, raster, 1)
				q := deliver.Request{Picture: p.job.Request, Target: target, Frames: 15, Audio: deliver.NoAudio}
				job, err := q.Layout()
				require.NoError(t, err, target.Name)
				path := filepath.Join(t.TempDir(), "a"+target.Extension)
				require.NoError(t, job.Encode(context.Background(), tool, path))
				s, err := ingest.OpenOther(context.Background(), tool, path)
				require.NoError(t, err)
				p.raster, p.job = job.Raster, job.Job
				clean(t, fmt.Sprintf("%s %s %s", target.Name, raster, spec), p.check(t, s))
				require.NoError(t, s.Close())
			}
		}
	}
}

// TestNoFaultInSignals: nor is what our encoder and decoder make of a pattern,
// but for the bandwidth of color.
func TestNoFaultInSignals(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for _, tt := range []struct{ wire, raster string }{{"composite-m", "480i"}, {"yc-m", "480i"}, {"yc-pal", "576i"}, {"component-n10", "576i"}, {"component-betacam", "480i"}} {
		for _, spec := range []string{"bars-full", "bars-eg1", "staircase"} {
			wire := composite.Lookup(tt.wire)
			p, err := pattern.Parse(spec)
			require.NoError(t, err)
			job := play(t, spec, tt.raster, 1).job
			job.Plan.Wire = wire.Family
			q := job.Request
			q.Pattern = p
			laid, err := q.Layout()
			require.NoError(t, err)
			e, err := composite.NewEncoder(wire, q.Raster.Scan, composite.Standard)
			require.NoError(t, err)
			w, err := e.Encode(0, 2, laid.Carried)
			require.NoError(t, err)
			s, err := ingest.OpenSignal(w, &composite.Decoder{Family: wire.Family})
			require.NoError(t, err)
			r := (&played{spec, q.Raster, laid, nil}).check(t, s)
			clean(t, tt.wire+" "+spec, r, measure.ChromaBandwidth, measure.Bandwidth)
		}
	}
}

// TestNoFaultInNoiseAndSize: noise, and sizes in which captures come.
func TestNoFaultInNoiseAndSize(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	for _, spec := range []string{"bars-eg1", "multiburst", "circles", "staircase"} {
		for _, filters := range []string{
			"noise=alls=3:allf=t", "noise=alls=8:allf=t", "scale=640:480:interl=1", "crop=704:480:8:0", "scale=1440:1080:interl=1",
			"scale=1440:1080:interl=1,pad=1920:1080:240:0", "pad=720:486:0:3",
		} {
			p := play(t, spec, "480i", 1)
			var besides []measure.Fault
			if strings.HasPrefix(filters, "scale=1440") {
				// A scaler's cubic ends early, overshoots, and sites chroma half a sample
				// aside: true of it.
				besides = []measure.Fault{measure.Bandwidth, measure.Sharpened, measure.ChromaLate}
			}
			clean(t, spec+" "+filters, p.through(t, tool, filters), besides...)
		}
	}
}
