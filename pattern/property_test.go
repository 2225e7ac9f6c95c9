package pattern

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// freeText holds values for options that are neither numbers nor choices: the
// ends of what they take. An option that is missing here fails the test.
var freeText = map[string][]string{
	"bounce period":        {"2", "30", "1000", "0.5s", "1s", "10s", "20s"},
	"chroma-steps levels":  {"0,100", "1,2,3,4,5,6,7,8,9,10,50,100"},
	"chroma-steps phase":   {"0", "45.5", "180", "360"},
	"focus-field color":    {"gray-109", "gray--7", "#123456"},
	"bars-full set":        {"75/7.5/75/7.5", "100/7.5/100/25"},
	"bars-split-red set":   {"100/7.5/100/7.5"},
	"flat color":           {"gray--7", "gray-109", "gray-50", "0,0,0", "100,0,100", "#123456"},
	"multiburst set":       {"oirt", "fcc", "0.1", "0.5,1,2,3", "1,2,3,4,5,6,7,8,9,10,11,30"},
	"multiburst flag":      {"0", "100"},
	"multiburst pedestal":  {"0", "45.5", "100"},
	"multiburst amplitude": {"0", "33.3", "100"},
	"ramp range":           {"-6..108", "108..-6", "99..100", "-6..-5"},
	"window size":          {"1", "80", "10x90", "90x10"},
}

// variants returns the spellings that try every option of an entry by itself:
// each choice, and both ends of each number.
func variants(t testing.TB, e Entry) []string {
	t.Helper()
	specs := []string{e.Name}
	_, options := e.New()
	for _, o := range options {
		values := append([]string(nil), o.Choices...)
		switch o.Type() {
		case "number", "int":
			limits := regexp.MustCompile(`(-?[\d.]+) to (-?[\d.]+)`).FindStringSubmatch(o.Range)
			require.NotNil(t, limits, "%s %s: limits in %q", e.Name, o.Name, o.Range)
			values = append(values, limits[1:]...)
		case "string":
			more := freeText[e.Name+" "+o.Name]
			if len(o.Choices) == 0 {
				require.NotEmpty(t, more, "%s %s: no values to try", e.Name, o.Name)
			}
			values = append(values, more...)
		}
		for _, x := range values {
			specs = append(specs, e.Name+" "+o.Name+"="+x)
		}
	}
	return specs
}

// holdings are the ways of holding samples that the tests try.
var holdings = []struct {
	name     string
	coding   *colorimetry.Coding
	sampling func(r *timing.Raster) frame.Sampling
}{
	{"8-bit 4:2:2", colorimetry.YCbCr8, func(*timing.Raster) frame.Sampling { return frame.S422 }},
	{"10-bit 4:2:2", colorimetry.YCbCr10, func(*timing.Raster) frame.Sampling { return frame.S422 }},
	{"RGB", colorimetry.RGB8, func(*timing.Raster) frame.Sampling { return frame.S444 }},
	{"8-bit 4:2:0", colorimetry.YCbCr8, frame.Subsample420},
	{"4:1:1 of DV", colorimetry.YCbCr8, func(*timing.Raster) frame.Sampling { return frame.S411 }},
	{"4:2:0 of DV", colorimetry.YCbCr8, func(*timing.Raster) frame.Sampling { return frame.S420DV }},
}

// someRasters returns every raster, or one of each kind in short runs, which
// look for races and not for rasters.
func someRasters() []*timing.Raster {
	if testing.Short() {
		return []*timing.Raster{timing.Lookup("480i"), timing.Lookup("240p")}
	}
	return timing.Rasters()
}

// TestCatalogueEverywhere lays every pattern out on every raster in every
// coding and samples it. It would catch a panic, a patch without samples or
// outside the picture, edges that reach into a patch, chroma rows that mix two
// bands, and samples that the coding has no code for.
func TestCatalogueEverywhere(t *testing.T) {
	for _, e := range All() {
		t.Run(e.Name, func(t *testing.T) {
			for _, r := range someRasters() {
				for _, h := range holdings {
					m := h.sampling(r)
					if m.Check(r) != nil {
						continue
					}
					v := NewView(r, h.coding, m, Shaped)
					checkScene(t, e.Name, v, m, r.Name+" "+h.name)
				}
			}
		})
	}
}

// TestEveryOption tries every option of every pattern, with its choices and
// both ends of its range, on both aspects and with every kind of edge.
func TestEveryOption(t *testing.T) {
	type view struct {
		raster  string
		holding int
		edges   Edges
		aspect  float64
		single  bool
	}
	views := []view{
		{"480i", 0, Shaped, Aspect4x3, false}, {"480i", 2, Shaped, Aspect16x9, true},
		{"240p", 2, Shaped, Aspect4x3, false}, {"576i", 3, Shaped, Aspect16x9, false},
		{"240p", 3, Fast, Aspect4x3, false}, {"486i", 1, Hard, Aspect16x9, true},
		// Bar edges of 625 lines fall exactly on samples.
		{"576i", 0, Hard, Aspect4x3, false},
		{"480i-dv", 4, Shaped, Aspect4x3, false}, {"576i-dv", 5, Shaped, Aspect16x9, true},
	}
	if testing.Short() {
		views = views[2:3]
	}
	for _, e := range All() {
		t.Run(e.Name, func(t *testing.T) {
			for _, spec := range variants(t, e) {
				for _, w := range views {
					r, h := timing.Lookup(w.raster), holdings[w.holding]
					m := h.sampling(r)
					v := NewView(r, h.coding, m, w.edges)
					v.Aspect, v.Single = w.aspect, w.single
					checkScene(t, spec, v, m, fmt.Sprint(w.raster, " ", h.name, " ", w.edges))
				}
			}
		})
	}
}

// TestCatalogueWires lays every pattern out for each kind of wire.
func TestCatalogueWires(t *testing.T) {
	plans := map[string][]colorimetry.Plan{
		"480i": {
			{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeM},
			{Wire: colorimetry.CompositeJ, Player: colorimetry.CompositeJ},
			{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}, // setup goes into the file
		},
		"576i": {{Wire: colorimetry.PAL, Player: colorimetry.PAL}},
	}
	for name, list := range plans {
		if testing.Short() {
			list = list[:1]
		}
		for _, plan := range list {
			for _, h := range holdings {
				r := timing.Lookup(name)
				for _, e := range All() {
					m := h.sampling(r)
					if m.Check(r) != nil {
						continue
					}
					v := NewView(r, h.coding, m, Shaped)
					v.Plan = plan
					checkScene(t, e.Name, v, m, fmt.Sprint(name, " ", h.name, " for ", plan.Wire.Name, " by ", plan.Player.Name))
				}
			}
		}
	}
}

// checkScene lays spec out on v, samples it on v's raster and checks all that
// the package promises. Options that do not go together, or not with this
// view, may be refused: by name, and with what to use instead.
func checkScene(t *testing.T, spec string, v View, m frame.Sampling, where string) {
	t.Helper()
	p, err := Parse(spec)
	require.NoError(t, err)
	s, err := p.Scene(v)
	if name, options, ok := strings.Cut(spec, " "); ok && err != nil {
		e, _ := Find(name)
		_, known := e.New()
		named, _, _ := strings.Cut(err.Error(), ": ")
		require.NotNil(t, option(known, named), "%s on %s: no option in %q", name, where, err)
		require.Contains(t, err.Error(), "; use ", "%s on %s with %s", name, where, options)
		return
	}
	require.NoError(t, err, "%s on %s", spec, where)
	fault := func(format string, args ...any) {
		t.Helper()
		t.Errorf("%s on %s: %s", spec, where, fmt.Sprintf(format, args...))
	}
	checkBands(fault, s)

	picture, raster := v.Shown.Picture(), rasterExtent(v.Shown)
	seen := map[string]bool{}
	for _, q := range s.Patches {
		if seen[q.Name] || q.Name == "" {
			fault("patch %q: no name of its own", q.Name)
		}
		seen[q.Name] = true
		const slack = 1e-9
		if !(q.X0 < q.X1 && q.Y0 < q.Y1) {
			fault("patch %s is empty: x %v to %v, y %v to %v", q.Name, q.X0, q.X1, q.Y0, q.Y1)
		}
		if q.X0 < min(picture.X0, raster.X0)-slack || q.X1 > max(picture.X1, raster.X1)+slack ||
			q.Y0 < min(picture.Y0, raster.Y0)-slack || q.Y1 > max(picture.Y1, raster.Y1)+slack {
			fault("patch %s lies outside picture and raster", q.Name)
		}
		for _, want := range []colorimetry.Signal{q.Want, q.To} {
			if !v.Coding.Holds(v.Plan.Map(want)) {
				fault("patch %s: %s has no code for %+v", q.Name, v.Coding.Name, want)
			}
		}
	}

	f, err := Sample(s, v.Shown, m, 0)
	require.NoError(t, err, "%s on %s", spec, where)
	for _, q := range s.Patches {
		for c := range f.Planes {
			checkPatch(fault, f, v, q, colorimetry.Component(c))
		}
	}
	checkLegal(fault, f, v)
}

// checkBands holds a scene to what Band and Scene say.
func checkBands(fault func(string, ...any), s *Scene) {
	if len(s.Bands) == 0 || !math.IsInf(s.Bands[len(s.Bands)-1].Bottom, 1) {
		fault("the last band has an end")
		return
	}
	if s.Period < 1 {
		fault("period %d", s.Period)
	}
	x := timing.Comb{X0: -0.7, DX: 0.0123, N: 120}
	top := -1.0
	for i, b := range s.Bands {
		if b.Bottom <= top {
			fault("band %d ends at %v, the one before at %v", i, b.Bottom, top)
		}
		if b.Uniform {
			bottom := min(b.Bottom, 1)
			for c := range colorimetry.Component(3) {
				one, other := make([]float64, x.N), make([]float64, x.N)
				b.Paint(one, c, x, timing.Span{Y: blend(top, bottom, 0.25), DY: 0.001}, 0)
				b.Paint(other, c, x, timing.Span{Y: blend(top, bottom, 0.75), DY: 0.002}, 0)
				if !assert.ObjectsAreEqual(one, other) {
					fault("band %d says that it is uniform, and its rows differ", i)
				}
			}
		}
		top = b.Bottom
	}
}

// rasterExtent returns the samples and rows of r, each counted half a step to
// either side.
func rasterExtent(r *timing.Raster) timing.Extent {
	c, a, b := r.Comb(0), r.Span(0), r.Span(r.Height()-1)
	return timing.Extent{X0: c.X0 - c.DX/2, Y0: a.Y - a.DY/2, X1: c.At(c.N-1) + c.DX/2, Y1: b.Y + b.DY/2}
}

// checkPatch reads every sample of a component inside a patch: levels are
// exact in the interior, ramps a straight line; no patch is without samples
// unless it lies outside the raster.
func checkPatch(fault func(string, ...any), f *frame.Frame, v View, q Patch, c colorimetry.Component) {
	across, down := f.Sampling.Step()
	if c == colorimetry.Y {
		across, down = 1, 1
	}
	in := q
	if q.Kind == Level || q.Kind == Ramp || q.Kind == RampDown {
		in = q.Interior(v)
	}
	comb, samples := f.Raster.Comb(0), 0
	want, to := q.Want.Of(c), q.To.Of(c)
	step := comb.DX * float64(across)
	first := max(0, int(math.Ceil((in.X0-comb.X0)/step)))
	read := map[int32]bool{} // lines that show the same row need no second look
	for k, line := range f.Planes[c].Lines {
		y := f.Raster.Span(k * down).Y
		if down == 2 {
			y = chromaY(f.Raster, f.Sampling, c, k)
		}
		if y < in.Y0 || y > in.Y1 {
			continue
		}
		if read[line] && q.Kind != RampDown {
			continue
		}
		read[line] = true
		row := f.Planes[c].Rows[line]
		for i := first; i < len(row); i++ {
			x, got := comb.At(i*across), row[i]
			if x > in.X1 {
				break
			}
			samples++
			exact := want
			switch q.Kind {
			case Level:
			case Ramp:
				exact = want + (to-want)*(x-q.X0)/(q.X1-q.X0)
			case RampDown:
				exact = want + (to-want)*(y-q.Y0)/(q.Y1-q.Y0)
			default:
				continue
			}
			if math.Abs(got-exact) > 1e-12 {
				fault("patch %s: %v is %v at sample %d of row %d, want %v", q.Name, c, got, i, k, exact)
				return
			}
		}
	}
	e := rasterExtent(f.Raster)
	inside := q.X0 >= e.X0-1e-9 && q.X1 <= e.X1+1e-9 && q.Y0 >= e.Y0-1e-9 && q.Y1 <= e.Y1+1e-9
	if samples == 0 && inside && (c == colorimetry.Y || q.Kind == Level) {
		fault("patch %s has no sample of %v", q.Name, c)
	}
}

// checkLegal asks the coding for every sample of a frame.
func checkLegal(fault func(string, ...any), f *frame.Frame, v View) {
	if v.Coding.Model == colorimetry.RGB {
		rows, _ := f.Distinct()
		for _, t := range rows {
			y, cb, cr := f.Triple(t)
			for i := range y {
				if s := (colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]}); !v.Coding.Holds(v.Plan.Map(s)) {
					r, g, b := s.RGB()
					fault("sample %d: %s has no code for R'G'B' %.5f %.5f %.5f", i, v.Coding.Name, r, g, b)
					return
				}
			}
		}
		return
	}
	for c := range f.Planes {
		for _, row := range f.Planes[c].Rows {
			for i, x := range row {
				s := [3]colorimetry.Signal{{Y: x}, {CB: x}, {CR: x}}[c]
				if !v.Coding.Holds(v.Plan.Map(s)) {
					fault("sample %d: %s has no code for %v = %v", i, v.Coding.Name, colorimetry.Component(c), x)
					return
				}
			}
		}
	}
}

// TestFrameOfAPeriod: after its period a scene shows the same again.
func TestFrameOfAPeriod(t *testing.T) {
	for _, e := range All() {
		q := shot{spec: e.Name, raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422}
		s, _, first := q.take(t)
		again, err := Sample(s, first.Raster, frame.S422, s.Period)
		require.NoError(t, err)
		assert.Equal(t, first.Planes, again.Planes, e.Name)
	}
}

// TestEntries holds the catalogue to what Entry says.
func TestEntries(t *testing.T) {
	groups := []string{GroupSource, GroupPurity, GroupGeometry, GroupLevels, GroupColor, GroupDetail, GroupTime}
	names := map[string]bool{}
	last := 0
	for _, e := range All() {
		assert.Regexp(t, `^[a-z0-9]+(-[a-z0-9]+)*$`, e.Name)
		assert.False(t, names[e.Name], "%s stands twice", e.Name)
		names[e.Name] = true
		assert.Contains(t, groups, e.Group, e.Name)
		for i, g := range groups {
			if g == e.Group {
				assert.GreaterOrEqual(t, i, last, "%s is not in working order", e.Name)
				last = i
			}
		}
		assert.NotEmpty(t, e.Use, e.Name)
		assert.NotContains(t, e.Use, "\n", e.Name)
		assert.NotEmpty(t, e.Source, e.Name)
		assert.Contains(t, e.Example, "backporch render "+e.Name, e.Name)
		p, options := e.New()
		require.NotNil(t, p, e.Name)
		seen := map[string]bool{}
		for _, o := range options {
			assert.NotEmpty(t, o.Help, "%s %s", e.Name, o.Name)
			assert.NotEmpty(t, o.Range, "%s %s", e.Name, o.Name)
			assert.False(t, seen[o.Name], "%s %s stands twice", e.Name, o.Name)
			seen[o.Name] = true
			assert.NoError(t, o.Set(o.String()), "%s %s: its own default", e.Name, o.Name)
		}
	}
	assert.Contains(t, names, "one-to-one")
	assert.Equal(t, "one-to-one", All()[0].Name, "the first picture of all")
}
