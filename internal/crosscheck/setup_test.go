package crosscheck

import (
	"bytes"
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/oracle"
	"backporch/internal/render"
	"backporch/internal/testtable"
	"backporch/pattern"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// encoder is a player's composite encoder as SMPTE 170M-2004 Annex A has it,
// written out again: E'M = setup + gain * (E'Y + 0.492111 (B'-Y') sin +
// 0.877283 (R'-Y') cos), in IRE; gain 0.925 with 7.5 IRE of setup, 1 without.
func encoder(setup, y, cb, cr float64) (luma, pp, degrees float64) {
	gain := 100 - setup
	u, v := 0.492111*1.772*cb*gain, 0.877283*1.402*cr*gain
	degrees = math.Mod(math.Atan2(v, u)*180/math.Pi+360, 360)
	return setup + gain*y, 2 * math.Hypot(u, v), degrees
}

// TestWireLevels computes the wire levels of 75 % bars from the codes in the
// file and the player's encoder, against SMPTE 170M-2004 table A.3
// (testdata/smpte170m_75_bars.csv, published). Whether the setup is in the file
// or the player adds it, the wire is the same.
func TestWireLevels(t *testing.T) {
	table := testtable.Table(t, "smpte170m_75_bars.csv")
	m, j := colorimetry.CompositeM, colorimetry.CompositeJ
	for _, tt := range []struct {
		name  string
		spec  string
		plan  colorimetry.Plan
		setup float64 // that the player adds
	}{
		{"setup in the file", "bars-full set=75/0/75/0", colorimetry.Plan{Wire: m, Player: j}, 0},
		{"setup in the file, 7.5 spelled", "bars-full set=75/7.5/75/7.5", colorimetry.Plan{Wire: m, Player: j}, 0},
		{"setup by the player", "bars-full set=75/0/75/0", colorimetry.Plan{Wire: m, Player: m}, 7.5},
		{"as player", "bars-full set=75/7.5/75/7.5", colorimetry.Plan{}, 7.5},
	} {
		for _, raster := range []string{"480i", "486i", "240p"} {
			t.Run(tt.name+"/"+raster, func(t *testing.T) {
				q := shot{spec: tt.spec, raster: timing.Lookup(raster), choice: format.Choice{Name: "y4m", Depth: 10}, plan: tt.plan}
				for i, s := range barsOf(t, q) {
					luma, pp, degrees := encoder(tt.setup, s.Y, s.CB, s.CR)
					row := table[i]
					bar := row.Text(t, "bar")
					// Half a code of 876 and 896 is 0.06 IRE of luma and up to 0.15 IRE of
					// chroma peak to peak; 62 IRE of it turn by 0.13 degrees.
					assert.InDelta(t, row.Float(t, "luma_IRE"), luma, 0.061, bar)
					assert.InDelta(t, row.Float(t, "chroma_pp_IRE"), pp, 0.15, bar)
					if want := row.Text(t, "phase_deg"); want != "" {
						assert.InDelta(t, row.Float(t, "phase_deg"), degrees, 0.14, bar)
						assert.InDelta(t, row.Float(t, "max_IRE"), luma+pp/2, 0.136, bar)
						assert.InDelta(t, row.Float(t, "min_IRE"), luma-pp/2, 0.136, bar)
					}
					// The program's own family says the same of these codes.
					player := tt.plan.Player
					if player == nil {
						player = m
					}
					gotPP, gotDegrees := player.Phasor(s)
					assert.InDelta(t, luma, float64(player.Luma(s).IRE()), 1e-4, bar)
					assert.InDelta(t, pp, float64(gotPP.IRE()), 1e-3, bar)
					if pp > 1 {
						assert.InDelta(t, degrees, gotDegrees, 1e-3, bar)
					}
				}
			})
		}
	}
}

// barsOf returns what the codes of the eight bars stand for, read by the
// converter in the middle of each.
func barsOf(t *testing.T, q shot) (all []colorimetry.Signal) {
	t.Helper()
	j := q.job(t)
	g := geometryOf(q.raster)
	s := oracle.Stream{Format: "y4m", Planes: "yuv422p10le", W: q.raster.Width, H: q.raster.Height(), Data: bytes.NewReader(file(t, j))}
	oracle.ReadCodes(t, s, func(_ int, c *oracle.Codes) {
		for _, p := range j.Scene.Patches {
			x := sampleAt(g, p)
			row := c.H[0] / 3
			y, cb, cr := c.Plane[0][row*c.W[0]+x], c.Plane[1][row*c.W[1]+x/2], c.Plane[2][row*c.W[2]+x/2]
			all = append(all, colorimetry.Signal{
				Y: (float64(y) - 64) / 876, CB: (float64(cb) - 512) / 896, CR: (float64(cr) - 512) / 896,
			})
		}
	})
	require.Len(t, all, 8)
	return all
}

// sampleAt returns the even sample nearest to the middle of a patch.
func sampleAt(g geometry, p pattern.Patch) int {
	us := (p.X0+p.X1)/2/g.heights() + (g.left+g.right)/2
	return int(math.Round((us*13.5-g.start)/2)) * 2
}

// TestSetupMap holds every sample of every pattern, with setup put into the
// file, to 0.075 + 0.925 E' and chroma x 0.925: SMPTE 170M-2004 clause 10.
func TestSetupMap(t *testing.T) {
	plan := colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}
	for _, f := range []streamFormat{
		{format.Choice{Name: "yuv422p10"}, "yuv422p10le", ""},
		{format.Choice{Name: "uyvy"}, "uyvy422", ""},
		{format.Choice{Name: "rgb24"}, "rgb24", ""},
	} {
		for _, raster := range []string{"480i", "240p"} {
			var jobs batch
			r := timing.Lookup(raster)
			for _, spec := range specs() {
				jobs.jobs = append(jobs.jobs, shot{spec: spec, raster: r, choice: f.choice, plan: plan}.job(t))
			}
			s := oracle.Stream{Format: f.raw, W: r.Width, H: r.Height(), Data: &reel{jobs: jobs.jobs}}
			n := oracle.ReadCodes(t, s, func(n int, c *oracle.Codes) {
				if n < len(jobs.jobs) {
					checkCodes(t, jobs.jobs[n], c)
				}
			})
			assert.Equal(t, len(jobs.jobs), n, "frames")
		}
	}
}

// TestOutOfReach: a player that adds 7.5 IRE reaches no lower than the least
// code of 8 bits takes it, 7.5 + 92.5 * (1 - 16) / 219 = +1.16 IRE, and 0 IRE is
// refused by the names of the patches; once accepted, the file holds that code
// and says so.
func TestOutOfReach(t *testing.T) {
	q := shot{
		spec: "bars-full", raster: timing.Lookup("480i"), choice: format.Choice{Name: "uyvy"},
		plan: colorimetry.Plan{Wire: colorimetry.CompositeJ, Player: colorimetry.CompositeM},
	}
	_, err := q.layout()
	var out *render.RangeError
	require.ErrorAs(t, err, &out)
	require.Len(t, out.Lost, 1)
	assert.Equal(t, "black", out.Lost[0].Patch.Name)
	assert.Contains(t, err.Error(), "+1.16 IRE")

	j := shot{spec: q.spec, raster: q.raster, choice: q.choice}.job(t)
	j.Plan, j.Clip = q.plan, true
	clipped, err := j.Request.Layout()
	require.NoError(t, err)
	require.Len(t, clipped.Lost, 1)
	b := file(t, clipped)
	x := sampleAt(geometryOf(q.raster), clipped.Scene.Patches[7])
	assert.EqualValues(t, 1, b[2*x+1], "luma of black")
	luma, _, _ := encoder(7.5, (1-16)/219.0, 0, 0)
	assert.InDelta(t, 1.16, luma, 0.005)
}
