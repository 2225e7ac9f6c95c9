package colorimetry

import (
	"errors"
	"math/rand/v2"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func family(t testing.TB, name string) *Family {
	t.Helper()
	f := LookupFamily(name)
	require.NotNil(t, f, name)
	return f
}

// TestSetupIntoFile: 7.5 wanted, player adds none: E' -> 0.075 + 0.925 E', all
// of SMPTE 170M clause 10's own encoding gain done in the file.
func TestSetupIntoFile(t *testing.T) {
	p := Plan{Wire: CompositeM, Player: CompositeJ}
	assert.False(t, p.Plain())
	for _, tt := range []struct {
		y    float64
		code uint16
	}{{0, 32}, {1, 235}} { // 16 + 219 x 0.075 = 32.425
		f, err := p.File(Gray(tt.y), YCbCr8)
		require.NoError(t, err)
		assert.InDelta(t, 0.075+0.925*tt.y, f.Y, 1e-15)
		assert.Equal(t, [3]uint16{tt.code, 128, 128}, YCbCr8.Codes(f))
	}
	s := FromRGB(0.75, 0, 0)
	f, err := p.File(s, YCbCr8)
	require.NoError(t, err)
	assert.InDelta(t, 0.925*s.CB, f.CB, 1e-15)
	assert.InDelta(t, 0.925*s.CR, f.CR, 1e-15)
	// What the player then puts on the wire is what SMPTE 170M wants.
	assert.InDelta(t, float64(CompositeM.Luma(s)), float64(CompositeJ.Luma(f)), 1e-12)
	want, wantDegrees := CompositeM.Phasor(s)
	got, degrees := CompositeJ.Phasor(f)
	assert.InDelta(t, float64(want), float64(got), 1e-12)
	assert.InDelta(t, wantDegrees, degrees, 1e-12)
	assert.Zero(t, p.SyncError())

	// Full-range RGB then holds all of EG 1's PLUGE: 3.5 IRE is above code 0.
	f, err = p.File(CompositeM.Signal(IRE(3.5).Millivolt()), RGB8)
	require.NoError(t, err)
	assert.Equal(t, [3]uint16{9, 9, 9}, RGB8.Codes(f)) // 0.035 x 255 = 8.925
	assert.InDelta(t, 0.035, f.Y, 1e-15)
}

// TestSetupOutOfReach: 0 wanted, player adds 7.5: black needs code -1.8, and the
// least that each coding reaches is above 0 IRE.
func TestSetupOutOfReach(t *testing.T) {
	p := Plan{Wire: CompositeJ, Player: CompositeM}
	f := p.Map(Gray(0))
	assert.InDelta(t, -0.075/0.925, f.Y, 1e-15)
	assert.InDelta(t, -1.757, YCbCr8.Real(f)[0], 0.0005)
	for _, tt := range []struct {
		k    *Coding
		ire  float64
		text string
	}{
		{YCbCr8, 1.164, "needs Y code -1.8, and 8-bit Y'CbCr has 1 to 254; the nearest level is +1.16 IRE (wanted +0.00 IRE)"},
		// 7.5 + 92.5 x (4-64)/876, by hand.
		{YCbCr10, 1.164, "needs Y code -7.0, and 10-bit Y'CbCr has 4 to 1019; the nearest level is +1.16 IRE (wanted +0.00 IRE)"},
		{RGB8, 7.5, "needs R code -20.7, and 8-bit full-range RGB has 0 to 255; the nearest level is +7.50 IRE (wanted +0.00 IRE)"},
		{RGB8Studio, 1.164, "needs R code -1.8, and 8-bit studio-range RGB has 1 to 254; the nearest level is +1.16 IRE (wanted +0.00 IRE)"},
		{RGB555, 7.5, "needs R code -2.5, and RGB 5:5:5 has 0 to 31; the nearest level is +7.50 IRE (wanted +0.00 IRE)"},
	} {
		near, err := p.File(Gray(0), tt.k)
		var reach *ReachError
		require.True(t, errors.As(err, &reach), "%v", err)
		assert.EqualError(t, err, tt.text)
		assert.InDelta(t, tt.ire, float64(CompositeJ.Luma(p.Emit(near)).IRE()), 0.0005, tt.k.Name)
		assert.True(t, tt.k.Holds(near))
		assert.Equal(t, Gray(0), reach.Want)
		assert.Equal(t, p.Emit(near), reach.Nearest)
		assert.Same(t, tt.k, reach.Coding)
	}
	// 10 % and more is within reach.
	_, err := p.File(Gray(0.1), YCbCr8)
	assert.NoError(t, err)
}

// TestBetacam: with setup, out of a player of N10 levels. 53.571/700, 16 + 219 x
// 714.286/700, 933.333/700: arithmetic on the two rows of the level table.
func TestBetacam(t *testing.T) {
	p := Plan{Wire: family(t, "component-betacam"), Player: family(t, "component-n10")}
	require.NoError(t, p.Check(525))
	black, err := p.File(Gray(0), YCbCr8)
	require.NoError(t, err)
	assert.InDelta(t, 0.0765, black.Y, 0.00005)
	white, err := p.File(Gray(1), YCbCr8)
	require.NoError(t, err)
	assert.EqualValues(t, 239, YCbCr8.Codes(white)[0])
	chroma := p.Map(Signal{0, 0.3, -0.3})
	assert.InDelta(t, 0.4, chroma.CB, 1e-15)
	assert.InDelta(t, -0.4, chroma.CR, 1e-15)
	for name := range primaries {
		f, err := p.File(barOf(t, "75/0/75/0", name), YCbCr8)
		require.NoError(t, err, "75 %% %s just fits", name)
		codes := YCbCr8.Codes(f)
		for _, c := range codes[1:] {
			assert.True(t, c >= 16 && c <= 240, "75 %% %s: codes %v", name, codes)
		}
	}
	f, err := p.File(barOf(t, "75/0/75/0", "Blue"), YCbCr8)
	require.NoError(t, err)
	assert.EqualValues(t, 240, YCbCr8.Codes(f)[1], "the last code of full excursion")

	// 512 + 896 x 2/3; 507/896 x 700 mV; by hand.
	_, err = p.File(barOf(t, "100/0/100/0", "Blue"), YCbCr10)
	assert.EqualError(t, err, "needs CB code 1109.3, and 10-bit Y'CbCr has 4 to 1019; "+
		"the nearest level is Y +128.7, PB +396.1, PR -75.8 mV (wanted Y +128.9, PB +466.7, PR -75.9 mV)")
	for _, name := range []string{"Yellow", "Cyan", "Red"} {
		_, err = p.File(barOf(t, "100/0/100/0", name), YCbCr8)
		assert.Error(t, err, "100 %% %s", name)
	}
	// No file changes the sync of the player: -300 mV in place of -285.7.
	assert.InDelta(t, -14.286, float64(p.SyncError()), 0.0005)
	assert.Zero(t, Plan{Wire: p.Wire, Player: p.Wire}.SyncError())
	assert.Zero(t, Plan{Wire: p.Wire}.SyncError())
}

// TestReachErrorOfColors: what is out of reach is told, in the unit of the wire.
// Figures by hand from the codes named in each text.
func TestReachErrorOfColors(t *testing.T) {
	minusI := MinusI(CompositeM)
	tests := []struct {
		name string
		p    Plan
		s    Signal
		k    *Coding
		want string
	}{
		{"unknown wire, neutral", Plan{}, Gray(-0.04), RGB8,
			"needs R code -10.2, and 8-bit full-range RGB has 0 to 255; the nearest level is 0.00 % luma (wanted -4.00 % luma)"},
		{"unknown wire, color", Plan{}, minusI, RGB8,
			"needs R code -52.7, and 8-bit full-range RGB has 0 to 255; the nearest level is R 0.0, G 5.9, B 23.9 % (wanted R -20.7, G 5.9, B 23.9 %)"},
		{"625 lines, neutral", Plan{Wire: PAL, Player: PAL}, Gray(-0.04), RGB8,
			"needs R code -10.2, and 8-bit full-range RGB has 0 to 255; the nearest level is +0.0 mV (wanted -28.0 mV)"},
		{"white", Plan{}, Gray(1.2), YCbCr8,
			"needs Y code 278.8, and 8-bit Y'CbCr has 1 to 254; the nearest level is 108.68 % luma (wanted 120.00 % luma)"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := tt.p.File(tt.s, tt.k)
			assert.EqualError(t, err, tt.want)
		})
	}
	// On composite the chroma is told with its phase; 40 IRE are what -I has.
	_, err := Plan{Wire: CompositeM, Player: CompositeM}.File(minusI, RGB8)
	assert.ErrorContains(t, err, "(wanted +7.50 IRE with chroma of 40.00 IRE peak to peak at 303.0 degrees)")
	_, err = Plan{Wire: PAL, Player: PAL}.File(FromRGB(1.2, 0, 0), RGB8)
	assert.ErrorContains(t, err, "needs R code 306.0, and 8-bit full-range RGB has 0 to 255; the nearest level is +209.3 mV with chroma of 885.1 mV peak to peak at 103.5 degrees (wanted +251.2 mV")
	rgb := Plan{Wire: family(t, "rgb-714"), Player: family(t, "rgb-700")}
	_, err = rgb.File(FromRGB(1, 0, 0), RGB8)
	assert.EqualError(t, err, "needs R code 260.2, and 8-bit full-range RGB has 0 to 255; the nearest level is R +700.0, G +0.0, B +0.0 mV (wanted R +714.3, G +0.0, B +0.0 mV)")
	// An error put together by hand, with nothing out of reach, still reads.
	assert.EqualError(t, &ReachError{Coding: RGB8}, "cannot be reached in 8-bit full-range RGB")
}

// TestSetupMismatch: source and set that disagree, every row: arithmetic on
// SMPTE 170M clause 10 and table 1. Plain codes on the wire of another family.
func TestSetupMismatch(t *testing.T) {
	lifted := Plan{Wire: CompositeJ, Player: CompositeM}
	crushed := Plan{Wire: CompositeM, Player: CompositeJ}
	rows := testtable.Table(t, "setup_mismatch.csv")
	require.Len(t, rows, 18)
	for _, row := range rows {
		v := row.Float(t, "v_true")
		assert.InDelta(t, row.Float(t, "v_lifted(7.5src->0mon)"), lifted.Emit(Gray(v)).Y, 5e-7+1e-12)
		assert.InDelta(t, row.Float(t, "v_crushed(0src->7.5mon)"), crushed.Emit(Gray(v)).Y, 5e-7+1e-12)
	}
}

// TestEmitUndoesMap, for every pair of families that can meet; and the wire
// then carries the levels that were wanted.
func TestEmitUndoesMap(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	pairs := 0
	for _, w := range Families() {
		for _, q := range Families() {
			p := Plan{Wire: w, Player: q}
			if w.Interface != q.Interface {
				continue
			}
			pairs++
			for range 50 {
				s := FromRGB(2*random.Float64()-0.5, 2*random.Float64()-0.5, 2*random.Float64()-0.5)
				f := p.Map(s)
				back := p.Emit(f)
				assert.InDelta(t, s.Y, back.Y, 1e-14)
				assert.InDelta(t, s.CB, back.CB, 1e-14)
				assert.InDelta(t, s.CR, back.CR, 1e-14)
				for c, v := range [...]float64{f.Y, f.CB, f.CR} {
					row := []float64{v}
					p.EmitRow(Component(c), row)
					assert.Equal(t, back.Of(Component(c)), row[0], "a row is mapped as one sample is")
				}
				assert.InDelta(t, float64(w.Luma(s)), float64(q.Luma(f)), 1e-10, "%s from %s", w.Name, q.Name)
				wu, wv := w.Vector(s)
				qu, qv := q.Vector(f)
				assert.InDelta(t, float64(wu), float64(qu), 1e-10)
				assert.InDelta(t, float64(wv), float64(qv), 1e-10)
				if w.Interface == ComponentRGB {
					wr, wg, wb := w.RGB(s)
					qr, qg, qb := q.RGB(f)
					assert.InDelta(t, float64(wr), float64(qr), 1e-10)
					assert.InDelta(t, float64(wg), float64(qg), 1e-10)
					assert.InDelta(t, float64(wb), float64(qb), 1e-10)
				}
				if p.Plain() {
					assert.Equal(t, s, f)
				}

				// A row is mapped as its samples are.
				for c, v := range []float64{s.Y, s.CB, s.CR} {
					row := []float64{v, 0, v}
					p.MapRow(Component(c), row)
					want := p.Map(s).Of(Component(c))
					assert.Equal(t, []float64{want, p.Map(Signal{}).Of(Component(c)), want}, row)
				}
			}
		}
	}
	assert.Equal(t, 3*3+5*5+2*2, pairs)
}

// TestPlain: with one side not known, or both alike, the file has plain codes.
func TestPlain(t *testing.T) {
	s := FromRGB(0.2, 0.7, 0.4)
	for _, p := range []Plan{{}, {Wire: CompositeM}, {Player: CompositeM}, {CompositeM, CompositeM}} {
		assert.True(t, p.Plain())
		assert.Equal(t, s, p.Map(s))
		assert.Equal(t, s, p.Emit(s))
		f, err := p.File(s, YCbCr8)
		assert.NoError(t, err)
		assert.Equal(t, s, f)
	}
}

// TestCheck: the exact texts.
func TestCheck(t *testing.T) {
	n10 := family(t, "component-n10")
	tests := []struct {
		name  string
		p     Plan
		lines int
		want  string
	}{
		{"7.5 on 625 lines", Plan{Wire: CompositeM}, 625,
			"composite-m (composite with 7.5 IRE setup) belongs to 525 lines, the raster has 625; choose pal"},
		{"player of 525 on 625", Plan{Wire: PAL, Player: CompositeJ}, 625,
			"composite-j (composite without setup) belongs to 525 lines, the raster has 625; choose pal"},
		{"pal on 525", Plan{Wire: PAL}, 525,
			"pal (PAL composite) belongs to 625 lines, the raster has 525; choose composite-m or composite-j"},
		{"betacam on 625", Plan{Wire: family(t, "component-betacam"), Player: n10}, 625,
			"component-betacam (component Betacam with setup) belongs to 525 lines, the raster has 625; choose component-n10 or component-betacam-700"},
		{"rgb-714 on 625", Plan{Wire: family(t, "rgb-714")}, 625,
			"rgb-714 (RGB 714 mV) belongs to 525 lines, the raster has 625; choose rgb-700"},
		{"two interfaces", Plan{Wire: CompositeM, Player: n10}, 525,
			"a player with component levels (component-n10) cannot make composite (composite-m) levels; name the levels of the output in use on both sides"},
		{"RGB into component", Plan{Wire: n10, Player: family(t, "rgb-700")}, 525,
			"a player with RGB levels (rgb-700) cannot make component (component-n10) levels; name the levels of the output in use on both sides"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { assert.EqualError(t, tt.p.Check(tt.lines), tt.want) })
	}
	for _, p := range []Plan{{}, {CompositeM, CompositeJ}, {Player: CompositeM}, {n10, family(t, "component-mii")}} {
		assert.NoError(t, p.Check(525))
	}
	for _, p := range []Plan{{}, {PAL, PAL}, {n10, n10}, {Wire: family(t, "rgb-700")}} {
		assert.NoError(t, p.Check(625))
	}
}
