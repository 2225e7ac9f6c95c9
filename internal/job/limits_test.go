package job

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Figures of the documents, written out again beside their clauses; a bound that
// is not in the table must not be there.
func TestPublishedLimits(t *testing.T) {
	const ebu = "EBU Tech 3320 v3 clause "
	for _, tt := range []struct {
		key, source string // the beginning of the source; its figures are read in that document
		max         []float64
		min         []float64
	}{
		{LimitWhiteLuminance, ebu + "5.1", []float64{100, 200, 250}, []float64{70, 70, 70}},
		{LimitBlack, ebu + "5.2", []float64{.05, .4, .7}, nil},
		{LimitGrayTracking, ebu + "5.5", []float64{.5, 1, 1.5}, nil},
		{LimitWhitePoint, ebu + "5.7", []float64{1.3, 4, 4}, nil},
		{LimitStreaking, ebu + "5.16", []float64{.5, 1, 2}, nil},
		// Figures of one class only: grade 1 comes first, the rest is not held here.
		{LimitContrast, ebu + "5.3", nil, []float64{1400}},
		{LimitGamma, ebu + "5.4", []float64{2.5}, []float64{2.3}},
		{LimitUniformityLuminance, ebu + "5.14", nil, []float64{80}},
		{LimitUniformityColor, ebu + "5.14", []float64{2.6}, nil},
		{LimitConvergenceMM, "Displays 1984", []float64{.3}, nil},
	} {
		t.Run(tt.key, func(t *testing.T) {
			for n := range max(len(tt.min), len(tt.max)) {
				p := &Plan{Limits: limitsOf(Class(Classes()[n]))}
				l := p.Limit(tt.key)
				require.NotNil(t, l)
				assert.True(t, strings.HasPrefix(l.Source, tt.source), l.Source)
				if tt.max == nil {
					assert.Nil(t, l.Max)
				} else {
					assert.InDelta(t, tt.max[n], *l.Max, 1e-12)
				}
				if tt.min == nil {
					assert.Nil(t, l.Min)
				} else {
					assert.InDelta(t, tt.min[n], *l.Min, 1e-12)
				}
			}
		})
	}
}

// What was not read in a document says so.
func TestSourcesOfLimits(t *testing.T) {
	read := []string{LimitWhiteLuminance, LimitBlack, LimitGrayTracking, LimitWhitePoint, LimitStreaking}
	for n, class := range Classes() {
		for _, l := range limitsOf(Class(class)) {
			require.NotEmpty(t, l.Name)
			require.NotEmpty(t, l.Source)
			require.True(t, l.Min != nil || l.Max != nil, l.Key)
			wider := strings.HasPrefix(l.Source, "common practice, wider than grade 1: ")
			switch {
			case n == 0:
				assert.False(t, wider, l.Key)
			case slices.Contains(read, l.Key):
				assert.True(t, strings.HasPrefix(l.Source, "EBU"), l.Source)
			default:
				assert.True(t, wider || strings.HasPrefix(l.Source, "common practice") || strings.HasPrefix(l.Source, "computed"), "%s: %s", l.Key, l.Source)
			}
		}
	}
	for _, key := range []string{LimitConvergenceCenter, LimitConvergenceEdge, LimitGeometryCenter, LimitGeometryEdge} {
		p := &Plan{Limits: limitsOf(Grade1)}
		assert.Contains(t, p.Limit(key).Source, "memory, low confidence", key)
	}
}

// A looser class is nowhere stricter.
func TestClassesWiden(t *testing.T) {
	for n := range 2 {
		a, b := limitsOf(Class(Classes()[n])), limitsOf(Class(Classes()[n+1]))
		for i := range a {
			if a[i].Max != nil {
				assert.LessOrEqual(t, *a[i].Max, *b[i].Max, a[i].Key)
			}
			if a[i].Min != nil {
				assert.GreaterOrEqual(t, *a[i].Min, *b[i].Min, a[i].Key)
			}
		}
	}
}

// A set with a luminance of its own is held to that, unless the workshop has a
// tolerance of its own.
func TestOwnLuminance(t *testing.T) {
	set := &Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i", Luminance: 120}
	p, err := NewPlan(set, nil, nil)
	require.NoError(t, err)
	l := p.Limit(LimitWhiteLuminance)
	assert.InDelta(t, 108, *l.Min, 1e-9)
	assert.InDelta(t, 132, *l.Max, 1e-9)
	assert.Contains(t, l.Source, "common practice")
	for _, tt := range []struct{ luminance, low, high float64 }{
		{90, 81, 99}, // 1.1*90 is 99.00000000000001 in binary
		{85, 76.5, 93.5},
		{77.7, 69.9, 85.5}, // 69.93 and 85.47, to a tenth
	} {
		set.Luminance = tt.luminance
		p, err = NewPlan(set, nil, nil)
		require.NoError(t, err)
		l = p.Limit(LimitWhiteLuminance)
		assert.Equal(t, []float64{tt.low, tt.high}, []float64{*l.Min, *l.Max}, "%g cd/m2", tt.luminance)
	}
	set.Luminance = 120
	most := 100.0
	p, err = NewPlan(set, &Workshop{Limits: []Limit{{Key: LimitWhiteLuminance, Max: &most}}}, nil)
	require.NoError(t, err)
	l = p.Limit(LimitWhiteLuminance)
	assert.Equal(t, []float64{70, 100}, []float64{*l.Min, *l.Max})
}
