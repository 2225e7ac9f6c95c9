package job

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The template is a file that works, also with every comment of a key taken
// away.
func TestTemplate(t *testing.T) {
	set := &Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i", Inputs: []Input{{"video-1", "composite"}}}
	w, err := ParseWorkshop([]byte(Template()), WorkshopFile)
	require.NoError(t, err)
	require.Len(t, w.Steps, 1)
	require.Len(t, w.Limits, 1)
	p, err := NewPlan(set, w, nil)
	require.NoError(t, err)
	assert.NotNil(t, p.Step(w.Steps[0].Key))

	var full strings.Builder
	for line := range strings.Lines(Template()) {
		if rest, ok := strings.CutPrefix(line, "# "); ok && (strings.Contains(rest, " = ") || strings.HasPrefix(rest, "[[")) {
			line = rest
		}
		full.WriteString(line)
	}
	w, err = ParseWorkshop([]byte(full.String()), WorkshopFile)
	require.NoError(t, err, full.String())
	require.Len(t, w.Limits, 2)
	s := w.Steps[0]
	for name, v := range map[string]any{"pattern": s.Pattern, "more": s.More, "look": s.Look, "adjust": s.Adjust, "after": s.After,
		"before": s.Before, "again": s.Again, "input": s.Input, "measure": s.Measure, "limits": s.Limits, "cautions": s.Cautions} {
		assert.NotEmpty(t, v, "the template does not show %s", name)
	}
	for _, key := range tomlNames([]string{"step"}) {
		assert.Contains(t, full.String(), "\n"+key+" = ", "the template does not show %s", key)
	}
	for line := range strings.Lines(Template()) {
		assert.LessOrEqual(t, len([]rune(strings.TrimRight(line, "\n"))), 90, line)
	}
}

const goodStep = `[[step]]
key = "straps"
title = "Ground straps"
do = "Tighten them."
`

func TestWorkshopErrors(t *testing.T) {
	for _, tt := range []struct{ name, file, want string }{
		{"not TOML", "[[step]]\nkey = ", "w.toml:2:"},
		{"binary", "\x00\x01", "w.toml is no text: it is a TOML file, such as `backporch job workshop-file` prints"},
		{"unknown table", "[[stop]]\nkey = 'a'\n", `w.toml:1:3: unknown key "stop" (did you mean step?)`},
		{"unknown key", goodStep + "titel = 'x'\n", `w.toml:5:1: unknown key "step.titel" (did you mean title?)`},
		{"far key", goodStep + "torque = 3\n", `unknown key "step.torque"; it can be key, title, input, pattern`},
		{"unknown key of a need", goodStep + "after = [{ step = 'proof', because = 'x' }]\n", `w.toml:5:28: unknown key "step.because"; it can be step, why`},
		{"wrong type", goodStep + "more = 'dots'\n", "w.toml:5:"},
		{"no title", "\n\n[[step]]\nkey = 'straps'\n", `w.toml:3: step "straps" needs a title, and says in do what to do`},
		{"no key", "[[step]]\ntitle = 'a'\n", `w.toml:1: a step's key "": it must be made of small letters, digits and hyphens`},
		{"bad key", "[[step]]\nkey = 'chroma@b'\n", `a step's key "chroma@b": it must be made of small letters`},
		{"built in", "[[step]]\nkey = 'purity'\n", `w.toml:1: step "purity" is built in and cannot be defined anew: give your own another key, and say with after or before where it belongs`},
		{"built in for inputs", "[[step]]\nkey = 'chroma'\n", `step "chroma" is built in`},
		{"twice", goodStep + goodStep, `w.toml:5: step "straps" twice`},
		{"unknown need", goodStep + "after = [{ step = 'purty', why = 'x' }]\n", `w.toml:1: step "straps" names a step "purty" that no plan has (did you mean purity?)`},
		{"need without a reason", goodStep + "before = [{ step = 'purity' }]\n", `w.toml:1: step "straps" does not say why for step "purity": each needs a reason`},
		{"unknown tolerance", goodStep + "limits = ['purity']\n", `step "straps" is held to a tolerance "purity" that there is not (did you mean purity-grade?)`},
		{"unknown caution", goodStep + "cautions = ['implosio']\n", `step "straps" has a caution "implosio" that there is not (did you mean implosion?); there are high-voltage`},
		{"unknown readings", goodStep + "measure = 'grey'\n", `step "straps" has a kind of readings "grey" that there is not (did you mean gray?); there are source, purity`},
		{"waits for itself", goodStep + "after = [{ step = 'straps', why = 'x' }]\n", "the steps wait for each other: straps after straps; take one of these needs away"},
		{"circle through built-in steps", goodStep + "after = [{ step = 'purity', why = 'x' }]\nbefore = [{ step = 'degauss', why = 'y' }]\n",
			"the steps wait for each other: degauss after straps after purity after degauss; take one of these needs away"},
		{"circle of two", goodStep + "after = [{ step = 'other', why = 'x' }]\n[[step]]\nkey = 'other'\ntitle = 'Other'\ndo = 'Look.'\nafter = [{ step = 'straps', why = 'y' }]\n",
			"after straps"},
		{"circle at an input", goodStep + "after = [{ step = 'rgb', why = 'x' }]\nbefore = [{ step = 'black', why = 'y' }]\n", "black after straps after rgb@rgb"},
		{"tolerance twice", "[[limit]]\nkey = 'black'\nmax = 1\n[[limit]]\nkey = 'black'\nmax = 2\n", `w.toml:4: tolerance "black" twice`},
		{"tolerance without a bound", "[[limit]]\nkey = 'leakage'\nname = 'Leakage'\n", `w.toml:1: tolerance "leakage" has neither min nor max`},
		{"tolerance without a name", "\n[[limit]]\nkey = 'blak'\nmax = 1\n", `w.toml:2: tolerance "blak" is not built in (did you mean black?): one of your own needs a name`},
		{"tolerance upside down", "[[limit]]\nkey = 'gamma'\nmin = 3.0\n", `tolerance "gamma": min 3 is above max 2.5; what is not given stays as built in`},
		{"no number", "[[limit]]\nkey = 'gamma'\nmin = nan\n", `tolerance "gamma": min and max must be numbers`},
		{"text for a number", "[[limit]]\nkey = 'gamma'\nmin = '2'\n", "w.toml:3:"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ParseWorkshop([]byte(tt.file), "w.toml")
			require.Error(t, err)
			assert.ErrorContains(t, err, tt.want)
			assert.True(t, strings.HasPrefix(err.Error(), "w.toml"), err.Error())
			assert.NotContains(t, err.Error(), "\n")
		})
	}
}

// A workshop's own bound replaces that of every class, and keeps what it does
// not say.
func TestOwnLimit(t *testing.T) {
	w, err := ParseWorkshop([]byte("[[limit]]\nkey = 'chroma-phase'\nmax = 2\n[[limit]]\nkey = 'leakage'\nname = 'Leakage'\nunit = 'mA'\nmax = 0.25\nsource = 'local rule'\n"), "w.toml")
	require.NoError(t, err)
	set := &Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i"}
	p, err := NewPlan(set, w, nil)
	require.NoError(t, err)
	l := p.Limit(LimitChromaPhase)
	assert.Equal(t, []any{"Chroma phase, error", "degrees", -.5, 2.0, "the workshop's own", true}, []any{l.Name, l.Unit, *l.Min, *l.Max, l.Source, l.Own})
	l = p.Limit("leakage")
	assert.Nil(t, l.Min)
	assert.Equal(t, []any{.25, "local rule", true}, []any{*l.Max, l.Source, l.Own})

	// The job's own counts more; the workshop's of other jobs stays as it was.
	max := 1.5
	q, err := NewPlan(set, w, []Entry{{Kind: KindLimit, Limit: &Limit{Key: LimitChromaPhase, Max: &max}}})
	require.NoError(t, err)
	l = q.Limit(LimitChromaPhase)
	assert.Equal(t, []any{-.5, 1.5, "this job's own", true}, []any{*l.Min, *l.Max, l.Source, l.Own})
	assert.Equal(t, 2.0, *p.Limit(LimitChromaPhase).Max)
	_, err = NewPlan(set, w, []Entry{{Kind: KindLimit, Limit: &Limit{Key: "wite-point", Max: &max}}})
	assert.ErrorContains(t, err, "(did you mean white-point?)")
}

// A step of a job may name those of the workshop, and replaces one of the same
// key; a step for an input stands only where a set has it.
func TestOwnStepsTogether(t *testing.T) {
	w, err := ParseWorkshop([]byte(goodStep+"input = 'video-1'\n[[step]]\nkey = 'fan'\ntitle = 'Fan'\ndo = 'Clean it.'\nbefore = [{ step = 'warm-up', why = 'heat' }]\n"), "w.toml")
	require.NoError(t, err)
	set := &Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i"}
	p, err := NewPlan(set, w, nil)
	require.NoError(t, err)
	assert.Nil(t, p.Step("straps"))
	require.NotNil(t, p.Step("fan"))
	assert.Equal(t, "the workshop's own", p.Step("fan").Source)
	set.Inputs = []Input{{"video-1", "yc"}}
	p, err = NewPlan(set, w, nil)
	require.NoError(t, err)
	assert.NotNil(t, p.Step("straps"))

	f, err := ParseOwn([]byte("[[step]]\nkey = 'fan-2'\ntitle = 'Second fan'\ndo = 'Clean it too.'\nafter = [{ step = 'fan', why = 'dust' }]\n"), "s.toml", w)
	require.NoError(t, err)
	s := &f.Steps[0]
	p, err = NewPlan(set, w, []Entry{{Kind: KindStep, Step: s}})
	require.NoError(t, err)
	respects(t, p.Steps)
	assert.Equal(t, "this job's own", p.Step("fan-2").Source)
	own := *s
	own.Key, own.Title, own.After = "fan", "Fan of this set", nil
	p, err = NewPlan(set, w, []Entry{{Kind: KindStep, Step: &own}})
	require.NoError(t, err)
	assert.Equal(t, "Fan of this set", p.Step("fan").Title)

	_, err = ParseOwn([]byte("[[step]]\nkey = 'fan-2'\ntitle = 'Second fan'\ndo = 'Clean it too.'\nafter = [{ step = 'fun', why = 'dust' }]\n"), "s.toml", w)
	assert.ErrorContains(t, err, `s.toml:1: step "fan-2" names a step "fun" that no plan has (did you mean fan?)`)
	_, err = ParseOwn([]byte("[[step]]\nkey = 'fan-2'\ntitle = 'Second fan'\ndo = 'Clean it too.'\nafter = [{ step = 'fan', why = 'dust' }]\n"), "s.toml", nil)
	assert.ErrorContains(t, err, `names a step "fan" that no plan has`, "without the workshop's file")
}

// A key that one plan has and another has not is no error: the file serves all
// sets. chroma stands for the step of every input.
func TestNeedsOfOtherSets(t *testing.T) {
	w, err := ParseWorkshop([]byte(goodStep+"after = [{ step = 'chroma', why = 'x' }, { step = 'setup-switch', why = 'y' }, { step = 'family@parts', why = 'z' }]\n"), "w.toml")
	require.NoError(t, err)
	for _, tt := range []struct {
		raster string
		inputs []Input
		want   string
	}{
		{"480i", []Input{{"a", "composite"}, {"b", "yc"}}, "chroma@a chroma@b setup-switch"},
		{"576i", []Input{{"a", "composite"}, {"parts", "component"}}, "chroma@a family@parts"},
		{"480i", []Input{{"c", "rgb"}}, ""},
	} {
		p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: tt.raster, Inputs: tt.inputs}, w, nil)
		require.NoError(t, err)
		var needs []string
		for _, n := range p.Step("straps").After {
			needs = append(needs, n.Step)
		}
		assert.Equal(t, tt.want, strings.Join(needs, " "))
	}
}

// A file that is wrong somewhere is refused or is a plan, and never a panic.
func FuzzParseWorkshop(f *testing.F) {
	f.Add([]byte(Template()))
	f.Add([]byte(goodStep))
	f.Add([]byte("[[limit]]\nkey = 'gamma'\nmin = 1\n"))
	f.Add([]byte("step = [{}]\n[limit]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		w, err := ParseWorkshop(data, "w.toml")
		if err != nil {
			return
		}
		p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i"}, w, nil)
		require.NoError(t, err, fmt.Sprintf("%q", data))
		respects(t, p.Steps)
	})
}
