package job

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testRasters are one of each kind of scan, and two names with more behind.
var testRasters = []string{"480i", "486i", "480i-dv", "240p", "240p-227.33", "576i", "288p"}

// everySet returns one set for each tube, arrangement, raster, setup and choice
// of inputs.
func everySet() (list []*Set) {
	inputs := [][]Input{nil}
	for _, wire := range Wires() {
		inputs = append(inputs, []Input{{"in-1", wire}})
	}
	inputs = append(inputs, []Input{{"video-1", "composite"}, {"video-2", "composite"}, {"s", "yc"}, {"parts", "component"}, {"scart", "rgb"}})
	for _, tube := range Tubes() {
		for _, guns := range GunsNames() {
			for _, raster := range testRasters {
				for _, setup := range []string{"0", "7.5", "as-player"} {
					for n, in := range inputs {
						// A class changes tolerances alone: they take turns.
						list = append(list, &Set{Label: "Bench A", Tube: Tube(tube), Guns: Guns(guns), Class: Class(Classes()[len(list)%3]), Raster: raster,
							Setup: setup, Inputs: in, Hot: n%2 == 1, DiagonalMM: float64(n%3) * 250, Aspect: []string{"4:3", "16:9"}[n%2]})
					}
				}
			}
		}
	}
	return list
}

func oneOf(r *rand.Rand, all []*Set) *Set { return all[r.IntN(len(all))] }

// randomSteps makes steps of the user's own that cannot wait for each other in a
// circle: each stands at a place of a plan, after steps in front of it and before
// steps behind it.
func randomSteps(r *rand.Rand, p *Plan) (own []Step) {
	keys := make([]string, len(p.Steps))
	for i, s := range p.Steps {
		keys[i] = s.Key
	}
	for n := range r.IntN(5) {
		at := r.IntN(len(keys) + 1)
		s := Step{Key: fmt.Sprintf("own-%d", n), Title: "Own", Do: "Look."}
		for range r.IntN(3) {
			if at > 0 {
				s.After = append(s.After, Need{keys[r.IntN(at)], "a reason"})
			}
			if at < len(keys) {
				s.Before = append(s.Before, Need{keys[at+r.IntN(len(keys)-at)], "another reason"})
			}
		}
		keys = slices.Insert(keys, at, s.Key)
		own = append(own, s)
	}
	return own
}

// respects asks that every need of a step stands in front of it.
func respects(t *testing.T, steps []Step) {
	t.Helper()
	seen := make(map[string]bool)
	for _, s := range steps {
		for _, n := range s.After {
			require.True(t, seen[n.Step], "%s stands before %s, which it needs", s.Key, n.Step)
		}
		require.False(t, seen[s.Key], "%s twice", s.Key)
		seen[s.Key] = true
	}
}

func TestOrderRespectsNeeds(t *testing.T) {
	for _, set := range everySet() {
		p, err := NewPlan(set, nil, nil)
		require.NoError(t, err)
		respects(t, p.Steps)
		for _, s := range p.Steps {
			if s.Key != "proof" && s.Key != "warm-up" {
				require.True(t, restsOn(p, s.Key, "warm-up"), "%s is done on a cold set", s.Key)
			}
		}
	}
}

func TestOrderOfOwnSteps(t *testing.T) {
	r, sets := rand.New(rand.NewPCG(1, 2)), everySet()
	for range 500 {
		set := oneOf(r, sets)
		p, err := NewPlan(set, nil, nil)
		require.NoError(t, err)
		own := randomSteps(r, p)
		q, err := NewPlan(set, &Workshop{Steps: own}, nil)
		require.NoError(t, err, "%+v", own)
		respects(t, q.Steps)
		require.Len(t, q.Steps, len(p.Steps)+len(own))
		place := func(key string) int {
			n := slices.IndexFunc(q.Steps, func(s Step) bool { return s.Key == key })
			require.GreaterOrEqual(t, n, 0, key)
			return n
		}
		for _, s := range own {
			for _, n := range s.After {
				assert.Less(t, place(n.Step), place(s.Key))
			}
			for _, n := range s.Before {
				assert.Greater(t, place(n.Step), place(s.Key))
			}
		}
	}
}

// The order follows from the needs, not from how the steps are written down.
func TestOrderOfShuffledCatalogue(t *testing.T) {
	r, sets := rand.New(rand.NewPCG(3, 4)), everySet()
	for range 300 {
		steps := catalogue(oneOf(r, sets))
		r.Shuffle(len(steps), func(i, j int) { steps[i], steps[j] = steps[j], steps[i] })
		ordered, err := order(steps)
		require.NoError(t, err)
		require.Len(t, ordered, len(steps))
		respects(t, ordered)
	}
}

// What the trade holds to, colorimetry and service literature alike: the list
// of dependencies of the work, apart from how the code says it.
func TestNeedsOfTheTrade(t *testing.T) {
	for _, tt := range []struct{ name, first, then string }{
		{"warm-up before degaussing", "warm-up", "degauss"},
		{"degaussing before purity", "degauss", "purity"},
		{"purity before convergence", "purity", "convergence-center"},
		{"the middle before the edges", "convergence-center", "convergence-edges"},
		{"geometry before final convergence", "pincushion", "convergence-edges"},
		{"size before final convergence", "size", "convergence-edges"},
		{"focus after size", "size", "focus"},
		{"setup switch before black", "setup-switch", "black"},
		{"brightness before cutoff", "black", "cutoff"},
		{"cutoff before drive", "cutoff", "drive"},
		{"luma before chroma", "balance", "chroma@video-1"},
		{"luma before component gains", "balance", "family@parts"},
		{"focus before peaking", "focus", "peaking"},
		{"source before black", "proof", "black"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for _, guns := range []Guns{InLine, Delta} {
				p, err := NewPlan(&Set{Tube: ShadowMask, Guns: guns, Class: Grade1, Raster: "480i", Setup: "7.5",
					Inputs: []Input{{"video-1", "composite"}, {"parts", "component"}}}, nil, nil)
				require.NoError(t, err)
				assert.True(t, restsOn(p, tt.then, tt.first), "%s does not rest on %s", tt.then, tt.first)
			}
		})
	}
}

// restsOn says whether a step needs another, at once or by others between. It is
// written apart from the replay of states.
func restsOn(p *Plan, key, on string) bool {
	for _, n := range p.Step(key).After {
		if n.Step == on || restsOn(p, n.Step, on) {
			return true
		}
	}
	return false
}

func TestEverythingIsSaid(t *testing.T) {
	cautions := make(map[string]bool)
	for _, c := range AllCautions() {
		cautions[c.Key] = true
	}
	stems := make(map[string]bool)
	clean := func(s Step, what, text string) {
		assert.NotContains(t, text, "  ", "%s, %s", s.Key, what)
		assert.Equal(t, strings.TrimSpace(text), text, "%s, %s", s.Key, what)
	}
	for _, set := range everySet() {
		p, err := NewPlan(set, nil, nil)
		require.NoError(t, err)
		for _, s := range p.Steps {
			stems[stem(s.Key)] = true
			for what, text := range map[string]string{"title": s.Title, "do": s.Do, "look": s.Look, "source": s.Source} {
				require.NotEmpty(t, text, "%s has no %s", s.Key, what)
				clean(s, what, text)
			}
			for what, text := range map[string]string{"do": s.Do, "look": s.Look, "adjust": s.Adjust} {
				clean(s, what, text)
				if text != "" {
					assert.True(t, strings.HasSuffix(text, "."), "%s, %s: no sentence: %s", s.Key, what, text)
				}
			}
			require.NotEmpty(t, s.Pattern, s.Key)
			assert.NotContains(t, s.More, s.Pattern, "%s shows a pattern twice", s.Key)
			for _, n := range slices.Concat(s.After, s.Again) {
				require.NotNil(t, p.Step(n.Step), "%s needs %s", s.Key, n.Step)
				require.NotEmpty(t, n.Why)
				clean(s, "need", n.Why)
				assert.NotEqual(t, s.Key, n.Step)
			}
			for _, k := range s.Limits {
				require.NotNil(t, p.Limit(k), "%s is held to %s", s.Key, k)
			}
			for _, k := range s.Cautions {
				require.True(t, cautions[k], "%s has caution %s", s.Key, k)
			}
			assert.Len(t, p.Cautions(&s), len(s.Cautions))
			if s.Measure != "" {
				assert.Contains(t, Whats(), s.Measure)
			}
		}
	}
	for _, k := range builtinStems() {
		assert.True(t, stems[k], "no plan has step %s", k)
	}
	assert.Len(t, stems, len(builtinStems()))
}

func TestEveryLimitIsUsed(t *testing.T) {
	used := make(map[string]bool)
	for _, set := range everySet() {
		p, err := NewPlan(set, nil, nil)
		require.NoError(t, err)
		for _, s := range p.Steps {
			for _, k := range s.Limits {
				used[k] = true
			}
		}
	}
	for _, k := range LimitKeys() {
		assert.True(t, used[k], "no step is held to %s", k)
	}
}

func TestStepsOfSets(t *testing.T) {
	keys := func(s *Set) (list []string) {
		p, err := NewPlan(s, nil, nil)
		require.NoError(t, err)
		for _, s := range p.Steps {
			list = append(list, s.Key)
		}
		return list
	}
	set := func(raster string, in ...Input) *Set {
		return &Set{Tube: ShadowMask, Guns: InLine, Class: Grade1, Raster: raster, Setup: "0", Inputs: in}
	}
	composite := Input{"video-1", "composite"}
	for _, tt := range []struct {
		name        string
		set         *Set
		with, wants []string // wants: not there
	}{
		{"525 lines, composite", set("480i", composite), []string{"setup-switch", "chroma@video-1", "interlace"}, []string{"chroma", "family@video-1"}},
		{"525 lines, RGB alone", set("480i", Input{"scart", "rgb"}), []string{"rgb@scart"}, []string{"setup-switch", "chroma@scart"}},
		{"525 lines, component alone", set("480i", Input{"parts", "component"}), []string{"setup-switch", "family@parts"}, []string{"chroma@parts"}},
		{"625 lines, component alone", set("576i", Input{"parts", "component"}), []string{"family@parts"}, []string{"setup-switch"}},
		{"625 lines has no setup", set("576i", composite), []string{"chroma@video-1", "interlace"}, []string{"setup-switch"}},
		{"240 lines a frame are not interlaced", set("240p-263", composite), []string{"setup-switch"}, []string{"interlace"}},
		{"288 lines a frame are not interlaced", set("288p", composite), nil, []string{"interlace", "setup-switch"}},
		{"two of a kind", set("480i", Input{"a", "yc"}, Input{"b", "yc"}), []string{"chroma@a", "chroma@b"}, nil},
		{"no input", set("480i"), []string{"black", "recheck"}, []string{"setup-switch"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := keys(tt.set)
			assert.Subset(t, got, tt.with)
			for _, k := range tt.wants {
				assert.NotContains(t, got, k)
			}
		})
	}
}

// The texts must fit the tube and the guns: what another has must not be told.
func TestTextsFitTheTube(t *testing.T) {
	step := func(tube Tube, guns Guns, key string) string {
		p, err := NewPlan(&Set{Tube: tube, Guns: guns, Class: Grade1, Raster: "576i", DiagonalMM: 500, Aspect: "4:3", Inputs: []Input{{"video-1", "composite"}}}, nil, nil)
		require.NoError(t, err)
		s := p.Step(key)
		return s.Do + " " + s.Look + " " + s.Adjust
	}
	for _, tube := range []Tube{ShadowMask, ApertureGrille, SlotMask} {
		assert.Contains(t, step(tube, InLine, "convergence-center"), "four-pole")
		assert.NotContains(t, step(tube, InLine, "convergence-center"), "lateral")
		assert.Contains(t, step(tube, Delta, "convergence-center"), "lateral")
		assert.NotContains(t, step(tube, Delta, "convergence-center"), "pole rings")
	}
	assert.Contains(t, step(ApertureGrille, InLine, "purity"), "damper wires")
	assert.NotContains(t, step(ShadowMask, InLine, "purity"), "damper")
	assert.Contains(t, step(ShadowMask, InLine, "chroma@video-1"), "delay line")
	// 500 mm of 4:3 are 300 mm high: five of them are 1.5 m.
	assert.Contains(t, step(ShadowMask, InLine, "purity"), "five screen heights (about 1.5 m)")
	// 1 % of 300 mm.
	assert.Contains(t, step(ShadowMask, InLine, "linearity"), "(3.0 mm here)")
}

// With one input there is no other to hold it against; with several it is said
// that one is taken for the grays.
func TestTextsFitTheInputs(t *testing.T) {
	do := func(raster, key string, in ...Input) string {
		p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade2, Raster: raster, Setup: "7.5", Inputs: in}, nil, nil)
		require.NoError(t, err)
		s := p.Step(key)
		require.NotNil(t, s, key)
		return s.Do + " " + s.Look
	}
	composite, parts, scart := Input{"video-1", "composite"}, Input{"parts", "component"}, Input{"scart", "rgb"}
	for _, tt := range []struct {
		name, raster, key string
		in                []Input
		has, not          []string
	}{
		{"RGB alone", "288p", "rgb@scart", []Input{scart}, []string{"made on this input"}, []string{"other input", "Feed the input"}},
		{"RGB beside another", "480i", "rgb@scart", []Input{composite, scart}, []string{"Feed the input scart", "other inputs"}, []string{"made on this input"}},
		{"composite alone", "576i", "chroma@video-1", []Input{composite}, []string{"Switch to the blue gun"}, []string{"Feed the input"}},
		{"black of one input", "480i", "black", []Input{parts}, nil, []string{"Take one input"}},
		{"black of several", "480i", "black", []Input{parts, scart}, []string{"Take one input", "note which"}, nil},
		{"black without inputs", "480i", "black", nil, nil, []string{"Take one input"}},
		{"setup of component alone", "480i", "setup-switch", []Input{parts}, []string{"Betacam and MII with setup"}, []string{"composite"}},
		{"setup of composite alone", "480i", "setup-switch", []Input{composite}, []string{"composite", "53.6 mV"}, []string{"Betacam"}},
		{"setup of both", "480i", "setup-switch", []Input{composite, parts}, []string{"composite", "Betacam"}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := do(tt.raster, tt.key, tt.in...)
			for _, s := range tt.has {
				assert.Contains(t, text, s)
			}
			for _, s := range tt.not {
				assert.NotContains(t, text, s)
			}
		})
	}
}

// A family or levels that turn out wrong at the input open what was set with
// them: at 525 lines families differ in black.
func TestInputsSendBack(t *testing.T) {
	again := func(raster, wire string) (keys []string) {
		p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade2, Raster: raster, Setup: "0", Inputs: []Input{{"in-1", wire}}}, nil, nil)
		require.NoError(t, err)
		for _, s := range p.Steps {
			if s.Input == "in-1" {
				for _, n := range s.Again {
					keys = append(keys, n.Step)
				}
			}
		}
		return keys
	}
	assert.Equal(t, []string{"setup-switch", "white"}, again("480i", "component"))
	assert.Empty(t, again("576i", "component"))
	assert.Equal(t, []string{"cutoff", "drive"}, again("288p", "rgb"))
}

func TestNoPlan(t *testing.T) {
	good := Set{Tube: ShadowMask, Guns: InLine, Class: Grade1, Raster: "480i"}
	for _, tt := range []struct {
		name string
		set  func(s *Set)
		want string
	}{
		{"tube", func(s *Set) { s.Tube = "shadowmask" }, `no plan for this set: its tube is "shadowmask" (did you mean shadow-mask?)`},
		{"guns", func(s *Set) { s.Guns = "round" }, `its arrangement of guns is "round"; it can be in-line, delta`},
		{"class", func(s *Set) { s.Class = "grade-4" }, `its class is "grade-4" (did you mean grade-1?)`},
		{"raster", func(s *Set) { s.Raster = "1080i" }, `its raster is "1080i", which is neither one of 525 lines`},
		{"raster of no scan", func(s *Set) { s.Raster = "480" }, "neither one of 525 lines"},
		{"input", func(s *Set) { s.Inputs = []Input{{"a", "svideo"}} }, `its input a is "svideo"; it can be composite, yc, component, rgb`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := good
			tt.set(&s)
			_, err := NewPlan(&s, nil, nil)
			require.ErrorContains(t, err, tt.want)
			assert.ErrorContains(t, err, "job set")
		})
	}
	_, err := NewPlan(nil, nil, nil)
	assert.ErrorContains(t, err, "without a description of the set")
}

// A raster of a device's own may have any name: its scan is said apart.
func TestPlanOfDeviceRaster(t *testing.T) {
	for _, tt := range []struct {
		scan       string
		interlaced bool
		setup      bool
	}{{"480i", true, true}, {"240p", false, true}, {"576i", true, false}, {"288p", false, false}} {
		p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "pixels", Scan: tt.scan, Inputs: []Input{{"video-1", "composite"}}}, nil, nil)
		require.NoError(t, err)
		assert.Equal(t, tt.interlaced, p.Step("interlace") != nil, tt.scan)
		assert.Equal(t, tt.setup, p.Step("setup-switch") != nil, tt.scan)
	}
}

func BenchmarkPlan(b *testing.B) {
	set := everySet()[5]
	for b.Loop() {
		p, err := NewPlan(set, nil, nil)
		if err != nil {
			b.Fatal(err)
		}
		p.States(nil)
	}
}
