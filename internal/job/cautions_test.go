package job

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// openSet are the steps in which hands are inside the set: at the neck, at the
// flyback, or at a control that many sets have on a board.
var openSet = []string{"purity", "convergence-center", "tilt", "size", "centering", "linearity", "pincushion", "convergence-edges", "focus",
	"setup-switch", "black", "cutoff", "drive", "family@parts", "rgb@scart", "peaking", "regulation", "interlace"}

// hazards says by hand where each can hurt: the steps in which hands go near it,
// or in which the picture itself does, and no others. It is written from where
// controls are in a set, not from the plan.
var hazards = []struct {
	caution string
	steps   []string
}{
	// Rings, yoke, wedges and magnets sit on the neck; bias, gain and often focus
	// on the board that hangs at its end.
	{CautionImplosion, []string{"purity", "convergence-center", "tilt", "pincushion", "convergence-edges", "focus", "cutoff", "drive"}},
	{CautionEHT, openSet},
	{CautionCharge, openSet},
	{CautionAlone, openSet},
	// And where an instrument is at the cable.
	{CautionHot, append([]string{"proof"}, openSet...)},
	// Where the high voltage is judged, somebody may turn it up.
	{CautionXRay, []string{"regulation"}},
	{CautionField, []string{"degauss"}},
	// A change of level, and lines of one field.
	{CautionFlashing, []string{"regulation", "interlace"}},
	// White, fields of one color, bars and bright lines that stand.
	{CautionStill, []string{"warm-up", "degauss", "purity", "convergence-center", "tilt", "size", "centering", "linearity", "pincushion", "convergence-edges",
		"focus", "white", "guns", "drive", "balance", "uniformity", "chroma@video-1", "family@parts", "rgb@scart", "peaking", "regulation", "streaking", "interlace", "recheck"}},
}

func TestHazards(t *testing.T) {
	for _, hot := range []bool{false, true} {
		for _, guns := range []Guns{InLine, Delta} {
			p, err := NewPlan(&Set{Tube: SlotMask, Guns: guns, Class: Grade1, Raster: "480i", Hot: hot,
				Inputs: []Input{{"video-1", "composite"}, {"parts", "component"}, {"scart", "rgb"}}}, nil, nil)
			require.NoError(t, err)
			for _, h := range hazards {
				var has []string
				for _, s := range p.Steps {
					if slices.Contains(s.Cautions, h.caution) {
						has = append(has, s.Key)
					}
				}
				if !hot && h.caution == CautionHot {
					assert.Empty(t, has, "a chassis that is not live")
					continue
				}
				assert.ElementsMatch(t, h.steps, has, h.caution)
			}
			for _, s := range p.Steps {
				assert.Len(t, slices.Compact(slices.Sorted(slices.Values(s.Cautions))), len(s.Cautions), "%s says a caution twice", s.Key)
			}
		}
	}
	// At 625 lines the decoder's trimmers are on a board.
	p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "576i", Inputs: []Input{{"video-1", "composite"}}}, nil, nil)
	require.NoError(t, err)
	assert.Contains(t, p.Step("chroma@video-1").Cautions, CautionEHT)
}

// The nearest hazard comes first: at the neck the neck, at the flyback its
// voltage, at the high voltage its radiation, in the picture the flashes.
func TestNearestHazardFirst(t *testing.T) {
	p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i", Hot: true}, nil, nil)
	require.NoError(t, err)
	for key, want := range map[string]string{"purity": CautionImplosion, "convergence-edges": CautionImplosion, "focus": CautionEHT,
		"cutoff": CautionEHT, "regulation": CautionXRay, "degauss": CautionField, "interlace": CautionFlashing} {
		assert.Equal(t, want, p.Step(key).Cautions[0], key)
		assert.Equal(t, want, p.Cautions(p.Step(key))[0].Key)
	}
}

// Every caution leaves the last word to the maker's service data, to local codes
// and to those who are trained or licensed, says its source, and holds the facts
// that the published cautions hold.
func TestCautionsDefer(t *testing.T) {
	facts := map[string][]string{
		CautionEHT:       {"25 kV", "isolation transformer does not protect", "at the yoke"}, // a university's guide (secondary)
		CautionCharge:    {"an hour or longer", "through a resistor", "comes back"},
		CautionHot:       {"isolation transformer", "one hand", "does not protect"},
		CautionImplosion: {"neck", "eye protection", "never lift"},
		CautionXRay:      {"0.5 mR/h at 5 cm", "never defeat", "specified tube"}, // NCRP statements 2 and 3
		CautionStill:     {"burn"},
		CautionFlashing:  {"epilepsy"},
		CautionField:     {"pacemakers"},
		CautionAlone:     {"alone"},
	}
	for _, c := range AllCautions() {
		assert.NotEmpty(t, c.Title)
		assert.NotEmpty(t, c.Source)
		assert.Contains(t, strings.ToLower(c.Text), "maker's service data", c.Key)
		assert.Contains(t, strings.ToLower(c.Text), "local codes", c.Key)
		assert.Regexp(t, "trained|licensed", c.Text, c.Key)
		assert.NotContains(t, c.Text, "  ")
		assert.True(t, strings.HasSuffix(c.Text, "."), c.Key)
		require.NotEmpty(t, facts[c.Key], c.Key)
		for _, f := range facts[c.Key] {
			assert.Contains(t, c.Text, f, c.Key)
		}
	}
	assert.Len(t, AllCautions(), len(facts))
}
