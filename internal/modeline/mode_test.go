package modeline

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mode returns a mode that is known to be possible.
func mode(t testing.TB, raster string, width int, p Placing) *Mode {
	t.Helper()
	r := timing.Lookup(raster)
	require.NotNil(t, r, raster)
	m, err := New(r, width, p)
	require.NoError(t, err)
	return m
}

// TestCEA861 holds the modes to every figure of the list of display formats
// (secondary: open per-format tables), at 27 MHz, at half of that and at twice.
func TestCEA861(t *testing.T) {
	rasters := map[string]string{
		"480 525": "480i-cea", "240 262": "240p", "240 263": "240p-263",
		"576 625": "576i", "288 312": "288p", "288 313": "288p-313",
	}
	rows := testtable.Table(t, "cea861_sd.csv")
	found := 0
	for _, row := range rows {
		key := row.Text(t, "v_active") + " " + row.Text(t, "v_total")
		name, ok := rasters[key]
		if key == "288 314" {
			continue // the program has no 314-line scan
		}
		require.True(t, ok, key)
		found++
		for _, width := range []int{720, 1440, 2880} {
			t.Run(fmt.Sprintf("%s at %d", name, width), func(t *testing.T) {
				m := mode(t, name, width, CEA861)
				at := func(column string) int { return row.Int(t, column) * width / 1440 }
				assert.Equal(t, Axis{at("h_active"), at("h_front"), at("h_sync"), at("h_back")}, m.H)
				assert.Equal(t, at("h_total"), m.H.Total())

				// "4 (per field)"; the back porch of field 1 stands in the note.
				var front, sync, back int
				for column, to := range map[string]*int{"v_front": &front, "v_sync": &sync} {
					_, err := fmt.Sscan(row.Text(t, column), to)
					require.NoError(t, err)
				}
				fields := 1
				if row.Text(t, "scan") == "i" {
					fields = 2
					_, err := fmt.Sscanf(row.Text(t, "note"), "per field back porch %d and ", &back)
					require.NoError(t, err)
				} else {
					back = row.Int(t, "v_back")
				}
				assert.Equal(t, Axis{row.Int(t, "v_active") / fields, front, sync, back}, m.V)
				assert.Equal(t, row.Int(t, "v_total")/fields, m.V.Total())
				assert.Equal(t, fields == 2, m.Interlaced())

				var mhz float64
				_, err := fmt.Sscan(row.Text(t, "pixel_clock_MHz"), &mhz)
				require.NoError(t, err)
				assert.InDelta(t, mhz*float64(width)/1440, m.Hz().Float64()/1e6, 1e-9)
				assert.InDelta(t, row.Float(t, "fH_Hz"), m.LineRate().Float64(), 5e-5)
				assert.InDelta(t, row.Float(t, "v_rate_Hz"), m.FieldRate().Float64(), 5e-6)
				assert.Equal(t, "-,-", row.Text(t, "hsync_pol")+","+row.Text(t, "vsync_pol"))
				assert.Contains(t, m.Line(), "-HSync -VSync")

				// "6/7"; at 2880 the list has them under numbers of their own: 10, 12,
				// 25 and 27 (secondary: open per-format tables).
				normal, wide := m.Formats()
				number := row.Text(t, "VIC")
				if width == 2880 {
					number = map[string]string{"6/7": "10/11", "8/9": "12/13", "21/22": "25/26", "23/24": "27/28"}[number]
				}
				assert.Equal(t, number, fmt.Sprintf("%d/%d", normal, wide))
				if _, frame, ok := strings.Cut(row.Text(t, "note"), "frame modeline "); ok {
					assert.Contains(t, m.Line(), "  "+frame+"  ")
				}
			})
		}
	}
	assert.Equal(t, len(rasters), found)
}

// TestKernelModes holds the lines to the mode table of the Linux kernel
// (published: drivers/gpu/drm/drm_edid.c, edid_cea_modes).
func TestKernelModes(t *testing.T) {
	for _, tt := range []struct {
		raster string
		width  int
		want   string
	}{
		{"480i-cea", 720, "13.50 720 739 801 858 480 488 494 525 -HSync -VSync Interlace"},
		{"576i", 720, "13.50 720 732 795 864 576 580 586 625 -HSync -VSync Interlace"},
		{"240p", 720, "13.50 720 739 801 858 240 244 247 262 -HSync -VSync"},
		{"288p", 720, "13.50 720 732 795 864 288 290 293 312 -HSync -VSync"},
		{"480i-cea", 1440, "27.00 1440 1478 1602 1716 480 488 494 525 -HSync -VSync Interlace"},
		{"576i", 1440, "27.00 1440 1464 1590 1728 576 580 586 625 -HSync -VSync Interlace"},
		{"480i-cea", 2880, "54.00 2880 2956 3204 3432 480 488 494 525 -HSync -VSync Interlace"},
	} {
		m := mode(t, tt.raster, tt.width, CEA861)
		got := strings.Fields(m.Line())
		assert.Equal(t, fmt.Sprintf("Modeline %q %s", m.Name(), tt.want), strings.Join(got, " "))
	}
}

// TestBT601 puts sync where ITU-R BT.601-5 table 2 has it: 16 samples after the
// active line of 720 with 525 lines, 12 with 625.
func TestBT601(t *testing.T) {
	for _, r := range timing.Rasters() {
		front := 16
		if r.Scan.System == timing.System625 {
			front = 12
		}
		for _, times := range []int{1, 2, 4} {
			m := mode(t, r.Name, 720*times, BT601)
			// A pixel to either side of where a clock of full precision has it: the
			// scans of 228 and 227 1/3 cycles have no whole number of samples.
			assert.InDelta(t, 0, m.Late().Float64(), m.Microseconds(1).Float64()/2, m.Line())
			least, most, _ := m.SyncLimits()
			assert.True(t, m.Microseconds(m.H.Sync).Float64() > least && m.Microseconds(m.H.Sync).Float64() < most, m.Line())
			if r.SamplesPerLine() == timing.Int(858) || r.Scan.System == timing.System625 {
				assert.Equal(t, front*times, m.H.Front, m.Line())
			}
		}
	}
	// CEA-861 against it: 739 and 736, 3 samples of 13.5 MHz; 732 in both.
	assert.Equal(t, timing.R(-3, 1).Mul(timing.R(2, 27)), mode(t, "480i-cea", 1440, CEA861).Late())
	assert.Equal(t, timing.Int(0), mode(t, "576i", 1440, CEA861).Late())
}

// TestLines: vertical sync begins with line 4 of 525 (SMPTE 170M figure 7) and
// line 1 of 625 (ITU-R BT.470-6), and the parts make up the field. As in a studio
// the rows stand on their raster's own lines, but for those of rasters that begin
// with field 2; else on the lines of CEA-861, 22 and 23.
func TestLines(t *testing.T) {
	half := timing.R(1, 2)
	for _, tt := range []struct {
		raster  string
		cea, up timing.Ratio // up with CEA-861 and as in a studio
	}{
		{"480i", timing.Int(1), timing.Int(0)}, {"480i-dv", half, half}, {"480i-cea", timing.Int(0), timing.Int(0)},
		{"486i", half, half}, {"576i", timing.Int(0), timing.Int(0)}, {"576i-dv", timing.R(-1, 2), half},
		{"240p", timing.Int(0), timing.Int(0)}, {"240p-263", timing.Int(0), timing.Int(0)},
		{"240p-228", timing.Int(0), timing.Int(0)}, {"240p-227.33", timing.Int(0), timing.Int(0)},
		{"288p", timing.Int(0), timing.Int(0)}, {"288p-313", timing.Int(0), timing.Int(0)},
	} {
		for p, up := range map[Placing]timing.Ratio{CEA861: tt.cea, BT601: tt.up} {
			m := mode(t, tt.raster, 720, p)
			s := m.Raster.Scan
			assert.Equal(t, up, m.Up(), "%s %s", tt.raster, p)
			begin := map[*timing.System]int{timing.System525: 4, timing.System625: 1}[s.System]
			assert.Equal(t, m.First, begin+m.V.Sync+m.V.Back, tt.raster)
			assert.Equal(t, s.Lines/s.Fields, m.V.Total(), tt.raster)
			assert.Equal(t, m.Raster.Height(), m.V.Active*s.Fields, tt.raster)
			assert.Positive(t, m.V.Front, tt.raster)
		}
	}
	assert.Len(t, timing.Rasters(), 12)
}

// TestWidths tries every width: the line rate stays within 8 Hz of the raster's
// (0.05 %), so that no set loses it; the picture keeps its share of the line
// within 0.5 %, and its place within half a pixel.
func TestWidths(t *testing.T) {
	for _, r := range timing.Rasters() {
		for width := MinWidth; width <= MaxWidth; width++ {
			m, err := New(r, width, CEA861)
			require.NoError(t, err)
			share := float64(width) / float64(m.H.Total())
			ideal := float64(r.Width) / r.SamplesPerLine().Float64()
			late := 0.0
			if r.Scan.System == timing.System525 {
				late = -3 / 13.5
			}
			ok := math.Abs(m.LineRate().Sub(r.Scan.LineRate()).Float64()) < 8 &&
				math.Abs(ideal/share-1) <= .005+1e-9 &&
				math.Abs(m.Late().Float64()-late) <= m.Microseconds(1).Float64()/2+1e-9 &&
				m.H.Front > 0 && m.H.Back > 0 && m.H.Sync > 0 && m.H.Active == width
			require.True(t, ok, "%s: %.1f ppm, share %v of %v, late %v", m.Line(), m.Deviation(), share, ideal, m.Late().Float64())
		}
	}
}

// TestNearest is the slow twin of the search: no other total within the stretch
// comes nearer to the line rate by more than the 10 ppm that count as alike.
func TestNearest(t *testing.T) {
	for _, r := range timing.Rasters() {
		for _, width := range []int{256, 320, 384, 512, 640, 768, 960, 1024, 1280, 1920, 2560, 3840} {
			m := mode(t, r.Name, width, BT601)
			rate := r.Scan.LineRate().Float64()
			ideal := r.SamplesPerLine().Float64() * float64(width) / 720
			for total := int(ideal / 2); total < int(2*ideal); total++ {
				if math.Abs(float64(total)/ideal-1) > .005 {
					continue
				}
				clock := math.Round(rate*float64(total)/1e4) * 1e4
				ppm := math.Abs(clock/float64(total)/rate-1) * 1e6
				assert.LessOrEqual(t, math.Abs(m.Deviation()), max(ppm, 10)+1e-6, "%s: %d pixels would do better", m.Line(), total)
			}
		}
	}
}

func TestNewRefuses(t *testing.T) {
	for _, width := range []int{-1, 0, 255, 4096} {
		_, err := New(timing.Lookup("480i"), width, CEA861)
		require.Error(t, err)
		assert.Contains(t, err.Error(), fmt.Sprintf("%d pixels are not within 256 to 4095: ", width))
	}
}

func TestXRandR(t *testing.T) {
	assert.Equal(t, []string{
		`xrandr --newmode "720x240p"  13.50  720 739 801 858  240 244 247 262  -HSync -VSync`,
		`xrandr --addmode VGA-1 720x240p`,
		`xrandr --output VGA-1 --mode 720x240p`,
	}, mode(t, "240p", 720, CEA861).XRandR("VGA-1"))
}

func TestNames(t *testing.T) {
	for _, n := range PlacingNames() {
		p, err := ParsePlacing(strings.ToUpper(n))
		require.NoError(t, err)
		assert.Equal(t, n, p.String())
	}
	for _, n := range InputNames() {
		i, err := ParseInput(n)
		require.NoError(t, err)
		assert.Equal(t, n, i.String())
	}
	_, err := ParsePlacing("gtf")
	assert.EqualError(t, err, `unknown timing "gtf"; use one of cea, bt601`)
	_, err = ParseInput("vga")
	assert.EqualError(t, err, `unknown input "vga"; use one of analog, digital`)
	assert.Equal(t, "Placing(9) Input(-1)", fmt.Sprint(Placing(9), " ", Input(-1)))
}

// Black of a kernel's composite modes: 7.5 IRE, 53.57 mV, with NTSC (SMPTE
// 170M table 1), none with NTSC-J and PAL (ITU-R BT.1700). Which is which:
// memory, see TVMode.
func TestTVModes(t *testing.T) {
	var got []string
	for _, s := range []*timing.System{timing.System525, timing.System625} {
		for _, m := range TVModes(s) {
			got = append(got, fmt.Sprintf("%s %.2f mV, %s", m.Name, float64(m.Family.Black), m.Option))
		}
	}
	assert.Equal(t, []string{
		"NTSC 53.57 mV, video=Composite-1:720x480i,tv_mode=NTSC",
		"NTSC-J 0.00 mV, video=Composite-1:720x480i,tv_mode=NTSC-J",
		"PAL 0.00 mV, video=Composite-1:720x576i,tv_mode=PAL",
	}, got)
}

func TestSister(t *testing.T) {
	for _, r := range timing.Rasters() {
		s := Sister(r)
		assert.Equal(t, r.Scan.System, s.Scan.System, r.Name)
		assert.NotEqual(t, r.Scan.Interlaced(), s.Scan.Interlaced(), r.Name)
	}
}
