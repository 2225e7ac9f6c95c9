package crosscheck

import (
	"maps"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/testtable"
	"backporch/pattern"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSubstitutes holds what stands in an R'G'B' file for the patches that
// full-range R'G'B' has no code for, and that the job names each of them: no
// patch is clipped in silence.
//
// -I and +Q: the RGB-legal colors of testdata/bars_codes_601.csv (R'G'B'
// published, C. Poynton, Digital Video and HD, 2nd ed.). Levels below black
// and above white: black and white, our own choice.
func TestSubstitutes(t *testing.T) {
	legal := map[string][3]float64{}
	for _, row := range testtable.Table(t, "bars_codes_601.csv") {
		if row.Text(t, "bars") == "RP 219 RGB-legal I/Q converted with the 601 matrix" {
			legal[row.Text(t, "bar")] = [3]float64{row.Float(t, "R"), row.Float(t, "G"), row.Float(t, "B")}
		}
	}
	require.Len(t, legal, 3)
	black, white := [3]float64{}, [3]float64{1, 1, 1}

	for _, tt := range []struct {
		spec string
		want map[string][3]float64 // of the patches that must be reported, and no others
	}{
		{"bars-eia189", map[string][3]float64{"-I": legal["-I"], "+Q": legal["+Q"]}},
		{"bars-eg1", map[string][3]float64{"-I": legal["-I"], "+Q": legal["+Q"], "PLUGE below black": black}},
		{"bars-rp219", map[string][3]float64{"-2 %": black}},
		{"pluge", map[string][3]float64{"PLUGE below black": black}},
		{"pluge variant=bt814", map[string][3]float64{"below black": black}},
		{"pluge variant=analog", map[string][3]float64{"below black": black}},
		{"near-black", map[string][3]float64{"-4 %": black, "-3 %": black, "-2 %": black, "-1 %": black}},
		{"one-to-one", map[string][3]float64{"below black": black, "above white": white}},
		{"bars-full", nil}, {"ramp", nil}, {"staircase", nil}, {"window", nil}, {"crosshatch", nil}, {"circles", nil},
	} {
		for _, raster := range []string{"480i", "288p"} {
			for _, name := range []string{"png", "bmp", "rgb24", "rgb565", "rgb555"} {
				q := shot{spec: tt.spec, raster: timing.Lookup(raster), choice: format.Choice{Name: name}}
				j := q.job(t)
				lost := map[string][3]float64{}
				for _, l := range j.Lost {
					lost[l.Patch.Name] = rgb(l.Patch.Want.Y, l.Patch.Want.CB, l.Patch.Want.CR)
					assert.NotEmpty(t, l.Reason)
				}
				want := maps.Clone(tt.want)
				if name == "rgb555" {
					delete(want, "-1 %") // -0.31 of a step: the code 0 is within half a step of it
				}
				require.Len(t, lost, len(want), "%v as %s: %v", q, name, lost)
				for patch, want := range want {
					got, ok := lost[patch]
					require.True(t, ok, "%v as %s: %s is not reported", q, name, patch)
					// The table gives six decimals.
					assert.InDeltaSlice(t, want[:], got[:], 2e-6, "%v as %s: %s", q, name, patch)
				}
			}
		}
	}
}

// TestNothingLostInVideo: Y'CbCr files hold every patch of every pattern but for what
// the raster is too slow or too low for.
func TestNothingLostInVideo(t *testing.T) {
	for _, e := range pattern.All() {
		for _, r := range timing.Rasters() {
			for _, depth := range []int{8, 10} {
				q := shot{spec: e.Name, raster: r, choice: format.Choice{Name: "y4m", Depth: depth}}
				for _, lost := range q.job(t).Lost {
					assert.NotEmpty(t, lost.Patch.Way, "%s: only what the raster itself does not hold is lost, not %s", q, lost.Patch.Name)
				}
			}
		}
	}
}

// TestPatchesInFiles reads each level patch out of the codes of a file, in
// the middle and at the ends of its interior, and holds them to the level that
// the patch states, rounded here: readings, pages and captures go by it. The
// scene's own painting has no part in what is wanted.
func TestPatchesInFiles(t *testing.T) {
	list := specs()
	if !testing.Short() {
		list = kitSpecs(t)
	}
	for _, spec := range list {
		for _, r := range rastersOf(spec) {
			for _, c := range []format.Choice{{Name: "yuv422p10"}, {Name: "rgb24"}, {Name: "i444"}} {
				q := shot{spec: spec, raster: r, choice: c}
				j := q.job(t)
				f, err := j.Frame(0)
				require.NoError(t, err)
				across, _ := f.Sampling.Step()
				g, k := geometryOf(r), j.Format.Coding
				for _, p := range j.Scene.Patches {
					if p.Kind != pattern.Level {
						continue
					}
					in := p.Interior(j.View)
					found := 0
					for y := range r.Height() {
						if at := g.y(r, y); at < in.Y0 || at > in.Y1 {
							continue
						}
						for _, x := range ends(g, in, r.Width, across) {
							found++
							s := colorimetry.Signal{Y: f.Planes[0].Row(y)[x], CB: f.Planes[1].Row(y)[x/across], CR: f.Planes[2].Row(y)[x/across]}
							for i, code := range k.Codes(s) {
								if want := wanted(k, i, p.Want); !isCode(code, want) {
									t.Errorf("%v as %s: patch %s at sample %d of row %d: component %d is %d, want the code of %.6f", q, c.Name, p.Name, x, y, i, code, want)
								}
							}
						}
					}
					assert.NotZero(t, found, "%v as %s: patch %s has no sample", q, c.Name, p.Name)
				}
			}
		}
	}
}

// ends returns the first, middle and last sample within a patch, of those that
// have chroma.
func ends(g geometry, p pattern.Patch, width, across int) []int {
	var in []int
	for x := 0; x < width; x += across {
		if at := g.x(float64(x)); at >= p.X0 && at <= p.X1 {
			in = append(in, x)
		}
	}
	if len(in) == 0 {
		return nil
	}
	return []int{in[0], in[len(in)/2], in[len(in)-1]}
}

// wanted returns the unrounded code of a component.
func wanted(k *colorimetry.Coding, i int, s colorimetry.Signal) float64 {
	if k.Model == colorimetry.RGB {
		return 255 * rgb(s.Y, s.CB, s.CR)[i]
	}
	return scale(i, [3]float64{s.Y, s.CB, s.CR}[i], k.Bits)
}
