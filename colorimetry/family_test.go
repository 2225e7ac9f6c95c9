package colorimetry

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// primaries is the R'G'B' of a bar by its name.
var primaries = map[string][3]float64{
	"White": {1, 1, 1}, "Yellow": {1, 1, 0}, "Cyan": {0, 1, 1}, "Green": {0, 1, 0},
	"Magenta": {1, 0, 1}, "Red": {1, 0, 0}, "Blue": {0, 0, 1}, "Black": {0, 0, 0},
}

// barOf returns a bar of a set a/b/c/d in per cent. The 7.5 of the 525-line
// spelling is setup, and black in R'G'B'.
func barOf(t *testing.T, set, name string) Signal {
	t.Helper()
	p, ok := primaries[name]
	require.True(t, ok, name)
	var level [4]float64
	for i, text := range strings.Split(set, "/") {
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		if v != 7.5 {
			level[i] = v / 100
		}
	}
	low, high := level[3], level[2]
	switch name {
	case "White":
		low, high = 0, level[0]
	case "Black":
		low, high = level[1], level[1]
	}
	for i := range p {
		p[i] = low + p[i]*(high-low)
	}
	return FromRGB(p[0], p[1], p[2])
}

// half is half a unit of the fourth decimal, and a hair for exact ties, which
// the standard prints either way.
const half = 0.00005 + 1e-9

// TestSMPTE170MBars: the printed figures of SMPTE 170M-2004 Annex A table A.3
// (published), through the family alone.
func TestSMPTE170MBars(t *testing.T) {
	rows := testtable.Table(t, "smpte170m_75_bars.csv")
	require.Len(t, rows, 8)
	for _, row := range rows {
		name := row.Text(t, "bar")
		s := barOf(t, "75/7.5/75/7.5", name)
		luma := float64(CompositeM.Luma(s).IRE())
		pp, degrees := CompositeM.Phasor(s)
		chroma := float64(pp.IRE())
		assert.InDelta(t, row.Float(t, "luma_IRE"), luma, half, name)
		assert.InDelta(t, row.Float(t, "chroma_pp_IRE"), chroma, half, name)
		if row.Text(t, "phase_deg") == "" {
			assert.Zero(t, chroma, name)
			assert.Zero(t, degrees, name)
			continue
		}
		assert.InDelta(t, row.Float(t, "min_IRE"), luma-chroma/2, half, name)
		assert.InDelta(t, row.Float(t, "max_IRE"), luma+chroma/2, half, name)
		assert.InDelta(t, row.Float(t, "phase_deg"), degrees, half, name)
	}
	// Annex A.3: the tops of yellow and cyan are 100 IRE, with setup or without.
	for _, f := range []*Family{CompositeM, CompositeJ} {
		for _, name := range []string{"Yellow", "Cyan"} {
			s := barOf(t, "75/0/75/0", name)
			pp, _ := f.Phasor(s)
			assert.InDelta(t, 100, float64((f.Luma(s) + pp/2).IRE()), 1e-9, "%s of %s", name, f.Name)
		}
	}
}

// TestNTSCBars: every row of the table of 525-line bars, -I/+Q and PLUGE. Sets:
// calc on SMPTE 170M equation A.3; patches secondary, those of NTSC-J memory.
func TestNTSCBars(t *testing.T) {
	rows := testtable.Table(t, "bars_composite_ntsc.csv")
	require.Len(t, rows, 51)
	for _, row := range rows {
		set, name := row.Text(t, "bars"), row.Text(t, "bar")
		f := map[string]*Family{"NTSC-M": CompositeM, "NTSC-J": CompositeJ}[row.Text(t, "system")]
		require.NotNil(t, f)
		var s Signal
		switch {
		case name == "-I":
			s = MinusI(f)
		case name == "+Q":
			s = PlusQ(f)
		case name == "White flag":
			s = Gray(1)
		case strings.Contains(set, "PLUGE"):
			s = f.Signal(IRE(row.Float(t, "lum_ire")).Millivolt())
		case strings.Contains(set, "element"):
			s = barOf(t, "100/0/100/0", name)
		default:
			s = barOf(t, set, name)
		}
		label := row.Text(t, "system") + " " + set + " " + name
		luma := f.Luma(s)
		pp, degrees := f.Phasor(s)
		assert.InDelta(t, row.Float(t, "lum_ire"), float64(luma.IRE()), half, label)
		assert.InDelta(t, row.Float(t, "chroma_pp_ire"), float64(pp.IRE()), half, label)
		assert.InDelta(t, row.Float(t, "min_ire"), float64((luma - pp/2).IRE()), half, label)
		assert.InDelta(t, row.Float(t, "max_ire"), float64((luma + pp/2).IRE()), half, label)
		assert.InDelta(t, row.Float(t, "lum_mv"), float64(luma), 0.005+1e-9, label)
		assert.InDelta(t, row.Float(t, "chroma_pp_mv"), float64(pp), 0.005+1e-9, label)
		if row.Text(t, "phase_deg") != "" {
			assert.InDelta(t, row.Float(t, "phase_deg"), degrees, half, label)
		} else {
			assert.Zero(t, pp, label)
		}
	}
}

// TestPALBars: every row of the table of 625-line bars: calc on ITU-R BT.470-6
// item 2.5 and BT.1700 Part B item 9, and, in the x columns, with the exact
// roots in place of 0.493 and 0.877.
func TestPALBars(t *testing.T) {
	exact := *PAL
	exact.ku, exact.kv = ku525, kv525
	rows := testtable.Table(t, "bars_composite_pal.csv")
	require.Len(t, rows, 32)
	const cent = 0.005 + 1e-9
	for _, row := range rows {
		label := row.Text(t, "bars") + " " + row.Text(t, "bar")
		s := barOf(t, row.Text(t, "bars"), row.Text(t, "bar"))
		luma := PAL.Luma(s)
		pp, degrees := PAL.Phasor(s)
		assert.InDelta(t, row.Float(t, "lum_mv"), float64(luma), cent, label)
		assert.InDelta(t, row.Float(t, "chroma_pp_mv"), float64(pp), cent, label)
		assert.InDelta(t, row.Float(t, "min_mv"), float64(luma-pp/2), cent, label)
		assert.InDelta(t, row.Float(t, "max_mv"), float64(luma+pp/2), cent, label)
		x, xDegrees := exact.Phasor(s)
		assert.InDelta(t, row.Float(t, "x_chroma_pp_mv"), float64(x), cent, label)
		assert.InDelta(t, row.Float(t, "x_max_mv"), float64(luma+x/2), cent, label)
		if row.Text(t, "phase_pos_deg") == "" {
			assert.Zero(t, pp, label)
			continue
		}
		assert.InDelta(t, row.Float(t, "phase_pos_deg"), degrees, cent, label)
		assert.InDelta(t, row.Float(t, "x_phase_pos_deg"), xDegrees, cent, label)
		// On -V lines the vector is mirrored.
		u, v := PAL.Vector(s)
		negative := math.Mod(math.Atan2(float64(-v), float64(u))*180/math.Pi+360, 360)
		assert.InDelta(t, row.Float(t, "phase_neg_deg"), negative, cent, label)
	}
}

// TestCompositeLevels: every row of the table of composite systems, or the
// reason why it is not the business of this package.
func TestCompositeLevels(t *testing.T) {
	families := map[string]*Family{"NTSC-M": CompositeM, "NTSC-J": CompositeJ, "PAL-B/G": PAL}
	// The greatest and the least level of 100 % bars.
	excursion := func(f *Family) (least, greatest Millivolt) {
		for name := range primaries {
			s := barOf(t, "100/0/100/0", name)
			pp, _ := f.Phasor(s)
			least, greatest = min(least, f.Luma(s)-pp/2), max(greatest, f.Luma(s)+pp/2)
		}
		return
	}
	// Quantities in the unit of the row, to the digits of the row.
	quantity := map[string]func(f *Family) Millivolt{
		"white":               func(f *Family) Millivolt { return f.White },
		"black (setup)":       func(f *Family) Millivolt { return f.Setup() },
		"black":               func(f *Family) Millivolt { return f.Black },
		"blanking":            func(*Family) Millivolt { return 0 },
		"sync":                func(f *Family) Millivolt { return f.Sync },
		"burst p-p":           func(f *Family) Millivolt { return f.Burst },
		"sync+luma p-p":       func(f *Family) Millivolt { return f.White - f.Sync },
		"max p-p with chroma": func(f *Family) Millivolt { _, most := excursion(f); return most - f.Sync },
		"max chroma excursion": func(f *Family) Millivolt {
			_, most := excursion(f)
			return most
		},
		"min chroma excursion": func(f *Family) Millivolt { least, _ := excursion(f); return least },
	}
	elsewhere := map[string]bool{ // line timing and burst are not levels
		"fsc": true, "fH": true, "burst start after 0H": true, "burst length": true, "burst phase": true,
		"H blanking start before 0H": true, "sync width": true, "0H to blanking end": true, "sync rise": true,
		"line blanking": true, "blanking rise": true,
	}
	checked := 0
	for _, row := range testtable.Table(t, "composite_levels.csv") {
		name := row.Text(t, "quantity")
		label := row.Text(t, "system") + " " + name
		f := families[row.Text(t, "system")]
		if f == nil || elsewhere[name] {
			continue // sampled systems have their codes in the encoder
		}
		checked++
		if get, ok := quantity[name]; ok {
			switch row.Text(t, "unit") {
			case "IRE":
				digits := 1e-9
				if strings.Contains(row.Text(t, "note"), "nominal") || strings.Contains(name, "with chroma") {
					digits = 0.5 // 130.83 is printed as 131
				}
				assert.InDelta(t, row.Float(t, "value"), float64(get(f).IRE()), digits, label)
			case "mV":
				assert.InDelta(t, row.Float(t, "value"), float64(get(f)), 1e-9, label)
			default:
				t.Errorf("%s: unit %q", label, row.Text(t, "unit"))
			}
			continue
		}
		switch name {
		case "KU":
			assert.InDelta(t, row.Float(t, "value"), f.ku, 5e-7, label)
		case "KV":
			assert.InDelta(t, row.Float(t, "value"), f.kv, 5e-7, label)
		case "IQ rotation":
			assert.EqualValues(t, row.Int(t, "value"), degreesPlusQ, label)
		case "encoding gain":
			assert.InDelta(t, row.Float(t, "value"), float64((f.White-f.Black)/f.White), 1e-15, label)
		case "peak incl. chroma":
			_, most := excursion(f)
			assert.InDelta(t, row.Float(t, "value"), float64(100*most/f.White), 0.5, label)
		case "p-p composite as printed": // a per cent printed as mV, it seems
			least, most := excursion(f)
			assert.InDelta(t, 1233.9, float64(most-min(least, f.Sync)), 0.05, "not the %g of the row", row.Float(t, "value"))
		case "black tolerance":
			assert.GreaterOrEqual(t, f.Black, Millivolt(0), label)
		default:
			t.Errorf("%s: nobody checks it", label)
		}
	}
	assert.Equal(t, 24, checked)
}

// TestComponentLevels: every row of the table of component levels; the p
// columns are printed in an equipment manual to a tenth of a mV (published).
// Chroma of Betacam secondary; Betacam without setup and MII memory.
func TestComponentLevels(t *testing.T) {
	families := map[string]*Family{
		"N10": LookupFamily("component-n10"), "BETA_SETUP": LookupFamily("component-betacam"),
		"BETA_ZERO_J": LookupFamily("component-betacam-zero"), "MII_SETUP": LookupFamily("component-mii"),
		"RGB_N10": LookupFamily("rgb-700"), "RGB_714": LookupFamily("rgb-714"),
		"BETA_NONEBU": LookupFamily("component-betacam-700"),
		// One that the program does not offer holds the equations to more figures.
		"RGB_714_SETUP": {Interface: ComponentRGB, Black: setup140, White: white140},
	}
	printed := 0
	rows := testtable.Table(t, "component_levels.csv")
	require.Len(t, rows, 129)
	for _, row := range rows {
		f := families[row.Text(t, "format")]
		require.NotNil(t, f, row.Text(t, "format"))
		label := row.Text(t, "format") + " " + row.Text(t, "bars") + " " + row.Text(t, "bar")
		if f.Interface == ComponentRGB {
			per, err := strconv.ParseFloat(strings.TrimSuffix(row.Text(t, "bar"), " %"), 64)
			require.NoError(t, err)
			r, g, b := f.RGB(Gray(per / 100))
			for _, v := range []Millivolt{r, g, b} {
				assert.InDelta(t, row.Float(t, "y_mv"), float64(v), 0.005+1e-9, label)
			}
			continue
		}
		s := barOf(t, row.Text(t, "bars"), row.Text(t, "bar"))
		y := f.Luma(s)
		pb, pr := f.Vector(s)
		assert.InDelta(t, row.Float(t, "y_mv"), float64(y), 0.005+1e-9, label)
		assert.InDelta(t, row.Float(t, "pb_mv"), float64(pb), 0.005+1e-9, label)
		assert.InDelta(t, row.Float(t, "pr_mv"), float64(pr), 0.005+1e-9, label)
		if row.Text(t, "p_y") != "" {
			assert.InDelta(t, row.Float(t, "p_y"), float64(y), 0.05+1e-9, label)
			assert.InDelta(t, row.Float(t, "p_by"), float64(pb), 0.05+1e-9, label)
			assert.InDelta(t, row.Float(t, "p_ry"), float64(pr), 0.05+1e-9, label)
			printed += 3
		}
	}
	assert.Equal(t, 48, printed)
}

// TestIQ: -I and +Q are 40 IRE peak to peak on the wire that they are made for,
// at 303 and 33 degrees (secondary; +Q also SMPTE 170M clause 10), at the luma
// of black. Codes: calc, in the reference columns of TestBarCodes.
func TestIQ(t *testing.T) {
	for _, tt := range []struct {
		wire           *Family
		minusI8, plusQ [3]uint16
		minusI10, q10  [3]uint16
	}{
		{CompositeM, [3]uint16{16, 158, 95}, [3]uint16{16, 175, 149}, [3]uint16{64, 633, 380}, [3]uint16{64, 698, 598}},
		{CompositeJ, [3]uint16{16, 156, 97}, [3]uint16{16, 171, 148}, [3]uint16{64, 624, 390}, [3]uint16{64, 684, 591}},
	} {
		for _, p := range []struct {
			s          Signal
			degrees    float64
			eight, ten [3]uint16
		}{{MinusI(tt.wire), 303, tt.minusI8, tt.minusI10}, {PlusQ(tt.wire), 33, tt.plusQ, tt.q10}} {
			pp, degrees := tt.wire.Phasor(p.s)
			assert.InDelta(t, 40, float64(pp.IRE()), 1e-12)
			assert.InDelta(t, p.degrees, degrees, 1e-12)
			assert.Equal(t, tt.wire.Black, tt.wire.Luma(p.s))
			assert.Equal(t, p.eight, YCbCr8.Codes(p.s))
			assert.Equal(t, p.ten, YCbCr10.Codes(p.s))
			assert.False(t, RGB8.Holds(p.s))
		}
	}
	// A wire that is not known has setup: EG 1 is a signal with it.
	assert.Equal(t, MinusI(CompositeM), MinusI(nil))
	assert.Equal(t, PlusQ(CompositeM), PlusQ(nil))

	// RGB-legal substitutes, C. Poynton, Digital Video and HD, 2nd ed.
	// (published; +I calc).
	for _, tt := range []struct {
		s    Signal
		want [3]float64
	}{
		{LegalMinusI(), [3]float64{0, 0.2456, 0.412545}},
		{LegalPlusQ(), [3]float64{0.253605, 0, 0.470286}},
		{LegalPlusI(), [3]float64{0.412545, 0.166945, 0}},
	} {
		r, g, b := tt.s.RGB()
		for i, v := range []float64{r, g, b} {
			assert.InDelta(t, tt.want[i], v, 1.1e-6)
		}
		assert.True(t, RGB8.Holds(tt.s))
		// Same vector as the pair of zero setup.
		pp, _ := CompositeJ.Phasor(tt.s)
		assert.InDelta(t, 40, float64(pp.IRE()), 1e-12)
	}
}

// TestPLUGE: codes and levels of every row; each row names how far it may be
// trusted.
func TestPLUGE(t *testing.T) {
	for _, row := range testtable.Table(t, "pluge.csv") {
		label := row.Text(t, "standard") + " " + row.Text(t, "element")
		s := Gray(row.Float(t, "pct") / 100)
		assert.EqualValues(t, row.Int(t, "Y8"), YCbCr8.Codes(s)[0], label)
		assert.EqualValues(t, row.Int(t, "Y10"), YCbCr10.Codes(s)[0], label)
		if row.Text(t, "ire") == "" {
			// Thousandths of a per cent are 0.0035 mV of 700.
			assert.InDelta(t, row.Float(t, "mv"), float64(LookupFamily("component-n10").Luma(s)), 0.009, label)
			continue
		}
		f := CompositeM
		if strings.Contains(row.Text(t, "standard"), "(J)") {
			f = CompositeJ
		}
		assert.InDelta(t, row.Float(t, "ire"), float64(f.Luma(s).IRE()), 0.0005, label)
		assert.InDelta(t, row.Float(t, "mv"), float64(f.Luma(s)), 0.009, label)
		assert.InDelta(t, s.Y, f.Signal(f.Luma(s)).Y, 1e-15)
	}
}

// TestIRE: 140 IRE are a volt, SMPTE 170M clause 15.4.
func TestIRE(t *testing.T) {
	assert.InDelta(t, 714.2857142857143, float64(IRE(100).Millivolt()), 1e-12)
	assert.InDelta(t, 1000, float64(IRE(140).Millivolt()), 1e-12)
	assert.InDelta(t, -285.714, float64(IRE(-40).Millivolt()), 0.0005)
	assert.InDelta(t, 53.571, float64(IRE(7.5).Millivolt()), 0.0005)
	for i := -60.0; i < 180; i += 0.37 {
		assert.InDelta(t, i, float64(IRE(i).Millivolt().IRE()), 1e-12)
	}
}

// TestPhasor: around the circle, and its ends.
func TestPhasor(t *testing.T) {
	for d := 0.0; d < 360; d += 0.25 {
		pp, degrees := CompositeM.Phasor(phasor(0.25, d))
		off := math.Abs(degrees - d)
		assert.Less(t, min(off, 360-off), 1e-9)
		assert.True(t, degrees >= 0 && degrees < 360, "%v", degrees)
		assert.InDelta(t, 2*0.25*92.5, float64(pp.IRE()), 1e-9)
	}
	_, degrees := CompositeM.Phasor(Signal{0, 0.3, -1e-17})
	assert.Equal(t, 0.0, degrees, "a hair below 0 is 0 and not 360")
	for _, f := range Families() {
		if f.Interface != Composite {
			pp, degrees := f.Phasor(FromRGB(1, 0, 0))
			assert.Zero(t, pp)
			assert.Zero(t, degrees)
		}
	}
	u, v := LookupFamily("rgb-700").Vector(FromRGB(1, 0, 0))
	assert.Zero(t, u)
	assert.Zero(t, v)
}

func TestFamilies(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for _, f := range Families() {
		assert.Same(t, f, LookupFamily(strings.ToUpper(f.Name)))
		assert.NotEmpty(t, f.Title)
		assert.NotEmpty(t, f.Source)
		assert.Less(t, f.Sync, f.Black)
		assert.Less(t, f.Black, f.White)
		assert.Equal(t, f.Interface == ComponentYPbPr, f.Chroma != 0, f.Name)
		assert.Equal(t, f.Interface == Composite, f.Burst != 0, f.Name)
		y := random.Float64()
		assert.InDelta(t, y, f.Signal(f.Luma(Gray(y))).Y, 1e-15)
		// Cables of R'G'B' carry a gray at the level of its luma.
		r, _, b := f.RGB(Gray(y))
		assert.Equal(t, f.Luma(Gray(y)), r)
		assert.Equal(t, f.Luma(Gray(y)), b)
	}
	assert.Nil(t, LookupFamily("composite"))
	all := Families()
	all[0] = nil
	assert.NotNil(t, Families()[0], "the slice is the caller's")
	assert.Equal(t, "component", ComponentYPbPr.String())
	assert.Equal(t, "unknown interface", Interface(9).String())
	assert.Equal(t, "unknown interface", Interface(-1).String())
}
