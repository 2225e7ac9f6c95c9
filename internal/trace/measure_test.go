package trace

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/testtable"
)

// What a bench may expect: exact records to 0.2 IRE, 0.3 degrees and 5 ns; with
// 1 % of noise and 8 bits to 0.7 IRE and 1 degree.
const (
	exactMV, exactDegrees, exactUS = 0.2 / 0.14, 0.3, 0.005
	noisyMV, noisyDegrees          = 0.7 / 0.14, 1.0
)

const ntsc75 = "bars-full set=75/7.5/75/7.5"

// printed holds patches to the bars that SMPTE 170M-2004 Annex A table A.3
// prints.
func printed(t *testing.T, r *Report, mv, degrees float64) {
	t.Helper()
	rows := testtable.Table(t, "smpte170m_75_bars.csv")
	require.Len(t, r.Patches, len(rows), show(r))
	for i, row := range rows {
		p := r.Patches[i]
		assert.InDelta(t, row.Float(t, "luma_IRE")/0.14, p.Got, mv, "luma of %s", p.Name)
		assert.InDelta(t, row.Float(t, "chroma_pp_IRE")/0.14, p.GotPP, 2*mv, "chroma of %s", p.Name)
		if row.Text(t, "phase_deg") != "" {
			assert.True(t, p.Colored, p.Name)
			assert.InDelta(t, 0, wrap(p.GotDegrees-row.Float(t, "phase_deg")), degrees, "phase of %s", p.Name)
		}
	}
}

// calculated holds patches to a set of bars of the table of 625 lines.
func calculated(t *testing.T, r *Report, set string, mv, degrees float64) {
	t.Helper()
	i := 0
	for _, row := range testtable.Table(t, "bars_composite_pal.csv") {
		if row.Text(t, "bars") != set {
			continue
		}
		require.Less(t, i, len(r.Patches), show(r))
		p := r.Patches[i]
		i++
		assert.InDelta(t, row.Float(t, "lum_mv"), p.Got, mv, "luma of %s", p.Name)
		assert.InDelta(t, row.Float(t, "chroma_pp_mv"), p.GotPP, 2*mv, "chroma of %s", p.Name)
		if row.Text(t, "phase_pos_deg") != "" {
			assert.InDelta(t, 0, wrap(p.GotDegrees-row.Float(t, "phase_pos_deg")), degrees, "phase of %s", p.Name)
		}
	}
	assert.Len(t, r.Patches, i)
}

// Lines drawn from the published figures alone are read back, at every rate of a
// scope, wherever blanking lies.
func TestPublished(t *testing.T) {
	for _, mhz := range []float64{20, 25, 62.5, 125, 250, 1000} {
		for _, lines := range []float64{1, 3} {
			d := ntscBars(t)
			k := take{mhz: mhz, before: 3, offset: -311}
			r, err := Measure(k.scope(-3, lines*d.period+1.5, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
			require.NoError(t, err)
			printed(t, r, exactMV, exactDegrees)
			assert.InDelta(t, 285.714, fact(t, r, "sync depth").Got, exactMV) // SMPTE 170M-2004 table 1
			assert.InDelta(t, 285.714, fact(t, r, "burst p-p").Got, exactMV)
			assert.InDelta(t, -311, r.Blanking, exactMV)
			// Table 2.
			assert.InDelta(t, 4.7, fact(t, r, "sync width").Got, exactUS)
			assert.InDelta(t, 1.5, fact(t, r, "front porch").Got, exactUS)
			assert.InDelta(t, 9.2, fact(t, r, "picture begins").Got, exactUS)
			assert.InDelta(t, 5.30794, fact(t, r, "burst start").Got, exactUS)
			assert.InDelta(t, 9, fact(t, r, "burst length").Got, 0.02)
			assert.InDelta(t, 572.0/9, fact(t, r, "line period").Got, exactUS)
			assert.InDelta(t, 0, fact(t, r, "SC/H").Got, 2)
			assert.True(t, r.Fit(), show(r))
			assert.Equal(t, Setup{"7.5", r.Setup.MV, "black"}, r.Setup)
			assert.Equal(t, int(lines), r.Lines)
			require.Len(t, r.Bands, 1)
			assert.Equal(t, "certain", r.Bands[0].Sure)

			d = palBars(t)
			r, err = Measure(k.scope(-3, lines*d.period+1.5, d.at), Conditions{}, targetOf(t, "bars-full set=75/0/75/0", "576i", "pal", ""))
			require.NoError(t, err)
			calculated(t, r, "75/0/75/0", exactMV, exactDegrees)
			assert.InDelta(t, 300, fact(t, r, "sync depth").Got, exactMV) // BT.1700 Annex 1 Part B table 2
			assert.InDelta(t, 300, fact(t, r, "burst p-p").Got, exactMV)
			assert.InDelta(t, 4.7, fact(t, r, "sync width").Got, exactUS)
			assert.InDelta(t, 5.6, fact(t, r, "burst start").Got, exactUS)
			assert.InDelta(t, 10, fact(t, r, "burst length").Got, 0.02)
			assert.InDelta(t, 10.5, fact(t, r, "picture begins").Got, exactUS)
			assert.True(t, r.Fit(), show(r))
			assert.Empty(t, r.Setup.Word)
			if lines > 1 {
				assert.InDelta(t, 90, fact(t, r, "burst swing").Got, 0.1) // BT.470-6: 135 degrees to both sides
			}
		}
	}
}

// With the noise and the steps of a cheap scope the same figures come out, less
// sharply.
func TestNoise(t *testing.T) {
	d, p := ntscBars(t), palBars(t)
	for _, mhz := range []float64{20, 100, 500} {
		for _, lines := range []float64{1, 8} {
			degrees := noisyDegrees
			if mhz == 20 && lines == 1 {
				// The phase of 36 samples of burst is known to sqrt(2/36)*10/143 rad, 0.94
				// degrees (the bound of Cramer and Rao): no method does better.
				degrees = 3 * 0.94
			}
			k := take{mhz: mhz, before: 3, offset: 77, noise: 10, bits: 8}
			r, err := Measure(k.scope(-3, lines*d.period+1.5, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
			require.NoError(t, err)
			printed(t, r, noisyMV, degrees)
			assert.InDelta(t, 285.714, fact(t, r, "sync depth").Got, noisyMV)
			assert.InDelta(t, 285.714, fact(t, r, "burst p-p").Got, noisyMV*2)
			assert.InDelta(t, 4.7, fact(t, r, "sync width").Got, 0.02)
			assert.InDelta(t, 5.308, fact(t, r, "burst start").Got, 0.05)
			r, err = Measure(k.scope(-3, lines*p.period+1.5, p.at), Conditions{}, targetOf(t, "bars-full set=75/0/75/0", "576i", "pal", ""))
			require.NoError(t, err)
			calculated(t, r, "75/0/75/0", noisyMV, degrees)
		}
	}
}

// The signal of the encoder reads as the tables print it, on every raster that
// carries a subcarrier, at several rates.
func TestEncoded(t *testing.T) {
	for _, tt := range []struct {
		raster, wire string
		first        int
	}{
		{"480i", "composite-m", 100}, {"480i", "composite-m", 400}, {"486i", "composite-m", 30}, {"240p", "composite-m", 100},
		{"240p-228", "composite-m", 50}, {"240p-227.33", "composite-m", 50}, {"480i", "yc-m", 100},
		{"576i", "pal", 100}, {"576i", "pal", 101}, {"576i", "pal", 400}, {"288p", "pal", 100}, {"576i", "yc-pal", 100},
	} {
		for _, mhz := range []float64{20, 62.5} {
			k := take{raster: tt.raster, wire: tt.wire, options: composite.Standard, first: tt.first, lines: 2, before: 2, after: 2, mhz: mhz}
			k.spec = ntsc75
			pal := composite.Lookup(tt.wire).Family.Lines == 625
			if pal {
				k.spec = "bars-full set=100/0/75/0"
			}
			if composite.Lookup(tt.wire).Kind == composite.YC {
				continue
			}
			r, err := Measure(k.record(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, ""))
			require.NoError(t, err, "%+v", tt)
			if pal {
				calculated(t, r, "100/0/75/0", exactMV, exactDegrees)
			} else {
				printed(t, r, exactMV, exactDegrees)
			}
			assert.True(t, r.Fit(), "%+v\n%s", tt, show(r))
		}
	}
}

// The clock of a scope may be off: between bursts it is measured.
func TestClock(t *testing.T) {
	d := ntscBars(t)
	for _, ppm := range []float64{-200, 50, 200} {
		k := take{mhz: 50, before: 3, ppm: ppm}
		r, err := Measure(k.scope(-3, 5*d.period+1, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
		require.NoError(t, err)
		printed(t, r, exactMV, exactDegrees)
		assert.InDelta(t, 227.5, fact(t, r, "subcarrier").Got, 0.001)
		assert.InDelta(t, 5*63.0/88*(1+ppm*1e-6), r.MHz, 1e-5)
	}
	// With one burst it cannot be, and the report says so.
	k := take{mhz: 50, before: 3, ppm: 50}
	r, err := Measure(k.scope(-3, d.period+1, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
	require.NoError(t, err)
	assert.Contains(t, r.Notes[0], "one burst alone")
	assert.InDelta(t, 2.6, math.Abs(wrap(r.Patches[6].GotDegrees-347.0812)), 1)
}

// Faults of a source are read as they are: gain of color, its phase, and black.
func TestFaultySource(t *testing.T) {
	d := ntscBars(t)
	for i := range d.pp {
		d.pp[i] *= 0.8
		d.degrees[i] += 7
		d.luma[i] *= 0.95
	}
	d.burstFrom += 0.3
	d.syncWidth = 4.4
	k := take{mhz: 50, before: 3}
	r, err := Measure(k.scope(-3, 3*d.period+1, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
	require.NoError(t, err)
	assert.False(t, r.Fit())
	assert.InDelta(t, 0.8, r.Gain.Chroma, 0.002)
	assert.InDelta(t, 7, r.Gain.Phase, 0.2)
	assert.InDelta(t, 0.95, r.Gain.Luma, 0.002)
	assert.InDelta(t, 0, r.Gain.Offset, 1)
	assert.InDelta(t, 4.4, fact(t, r, "sync width").Got, exactUS)
	assert.InDelta(t, 5.608, fact(t, r, "burst start").Got, exactUS)
	out := r.Out()
	for _, name := range []string{"sync width low", "burst start high", "white of 75 % low", "yellow chroma low", "red phase high"} {
		assert.Contains(t, out, name)
	}
	assert.NotContains(t, out, "sync depth low")
	assert.Empty(t, r.Faults)
}
