package pattern

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// percentAcross and percentDown tell how far a place on the tube is from the
// left and the upper edge of the analog picture, in per cent of its size. The
// width is that of the analog active line: 52.8556 us at 525 lines (SMPTE
// 170M-2004 table 2), 52 us at 625 (ITU-R BT.1700 Annex 1 Part B).
func (u *tube) percentAcross(x float64) float64 {
	us := map[string]float64{"525/60": 572.0/9 - 10.7, "625/50": 52}[u.r.Scan.System.Name]
	width := us * u.r.Scan.System.HeightsPerMicrosecond().Float64() * u.stretch
	return 100 * (x/width + 0.5)
}

func (u *tube) percentDown(y float64) float64 { return 100 * (y + 0.5) }

// halfRow is how many per cent of the picture's height half a row is: the
// most by which a horizontal line may miss its place.
func (u *tube) halfRow() float64 { return 100 * u.dy() / 2 * 1.001 }

// TestSafeAreaPlaces measures the lines of every standard against the table:
// its margins as per cents of its lattices.
func TestSafeAreaPlaces(t *testing.T) {
	standard := map[string]string{"RP 27.3 / RP 218 Annex B": "rp27.3", "ST 2046-1": "st2046-1", "EBU R 95 / BT.1848": "ebu-r95"}
	margins := map[string]map[bool]float64{} // by standard, true for the action area
	for _, row := range testtable.Table(t, "safe_area.csv") {
		name := standard[row.Text(t, "standard")]
		require.NotEmpty(t, name, row.Text(t, "standard"))
		across := 100 * row.Float(t, "margin_x") / row.Float(t, "lattice_w")
		down := 100 * row.Float(t, "margin_y") / row.Float(t, "lattice_h")
		require.InDelta(t, across, down, 1e-9)
		if margins[name] == nil {
			margins[name] = map[bool]float64{}
		}
		margins[name][strings.Contains(row.Text(t, "area"), "action")] = across
	}
	require.Len(t, margins, len(safeStandards))
	for name, pair := range margins {
		everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
			u := onTube(t, "safe-area standard="+name, r, aspect)
			// A row and a column through the arms of the inner area's corners, clear
			// of the angles in the corners of the picture.
			near := (pair[false] + 4) / 100
			row := u.across(rowNear(r, near-0.5)).runs(0.75)
			require.GreaterOrEqual(t, len(row), 4, name)
			for _, q := range []struct {
				got  float64
				want float64
			}{
				{u.percentAcross(row[0]), pair[true]}, {u.percentAcross(row[1]), pair[false]},
				{u.percentAcross(row[len(row)-1]), 100 - pair[true]}, {u.percentAcross(row[len(row)-2]), 100 - pair[false]},
			} {
				assert.InDelta(t, q.want, q.got, 0.02, "%s: upright line, per cent from the left", name)
			}
			p := r.Picture()
			column := u.down((p.X0 + near*(p.X1-p.X0)) * u.stretch).runs(0.75)
			require.GreaterOrEqual(t, len(column), 4, name) // the scale at the left may lie between
			column = append(column[:2], column[len(column)-2:]...)
			for i, want := range []float64{pair[true], pair[false], 100 - pair[false], 100 - pair[true]} {
				assert.InDelta(t, want, u.percentDown(column[i]), u.halfRow(), "%s: level line %d, per cent from the top", name, i)
			}
		})
	}
}

// TestScales measures the marks of the scales: 1 % of the picture's width or
// height apart, from 0 or the first that the raster shows.
func TestScales(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		u := onTube(t, "safe-area", r, aspect)
		// Two field lines above the axis every mark across is cut.
		row := u.across(rowNear(r, -2.5/r.Scan.System.Height.Float64())).runs(0.6)
		for k := 1; k <= 10; k++ {
			assert.InDelta(t, float64(k), u.percentAcross(nearestOf(row, u.percentAcross, float64(k))), 0.02, "mark %d at the left", k)
			assert.InDelta(t, float64(100-k), u.percentAcross(nearestOf(row, u.percentAcross, float64(100-k))), 0.02, "mark %d at the right", k)
		}
		// Beside the axis by 1 % of the height every mark down is cut.
		column := u.down(0.01 * u.stretch).runs(0.6)
		e := rasterExtent(r)
		seen := 0
		for k := 1; k <= 10; k++ {
			for _, from := range []float64{float64(k), float64(100 - k)} {
				y := from/100 - 0.5
				if y-3*u.dy() < e.Y0 || y+3*u.dy() > e.Y1 {
					continue // outside the raster, or too near to its end to measure
				}
				seen++
				assert.InDelta(t, from, u.percentDown(nearestOf(column, u.percentDown, from)), u.halfRow(), "mark %v from the top", from)
			}
		}
		assert.GreaterOrEqual(t, seen, 16, "marks down that the raster shows")
	})
}

// nearestOf returns the place whose measure is nearest to want.
func nearestOf(list []float64, measure func(float64) float64, want float64) float64 {
	best := math.Inf(1)
	for _, x := range list {
		if math.Abs(measure(x)-want) < math.Abs(measure(best)-want) {
			best = x
		}
	}
	return best
}

// TestNumeralsAreLegible reads every cell of every numeral back from the
// samples of every raster: lit ones above and dark ones below half white.
func TestNumeralsAreLegible(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		for _, hard := range []bool{false, true} {
			u := onTube(t, "safe-area", r, aspect, func(v *View) {
				if hard {
					v.Edge = [3]float64{}
				}
			})
			const text = "0246810"
			v, x, y := u.view, -0.05, 0.2
			s := still(v.tileBands(colorimetry.Gray(0), v.numeral(text, x, y, colorimetry.Gray(1))))
			f, err := Sample(s, r, u.frame.Sampling, 0)
			require.NoError(t, err)
			pic := *u
			pic.luma = f.Planes[0]
			cell := v.numeralCell()
			left, _ := v.upright(x+cell/2, cell)
			top := v.nearestRow(y)
			for _, digit := range text {
				shape := numerals[digit]
				for line, cells := range shape {
					cut := pic.across(top + line*r.Scan.Fields)
					for i, lit := range cells {
						got := cut.at((left + (float64(i)+0.5)*cell) * pic.stretch)
						assert.Equal(t, lit == '#', got > 0.5, "%c line %d cell %d is %.2f", digit, line, i, got)
					}
				}
				left += float64(len(shape[0])+1) * cell
			}
		}
	})
}

// TestUnseenScale: 480i shows lines 23-262 and 286-525, from 119 field lines
// above the middle of the picture at 141.75 to 121 below, of 121.5 each way;
// 240p shows 22-261, from 120.25 above to 119.75 below. 625-line files show
// every line.
func TestUnseenScale(t *testing.T) {
	note := func(raster string, pct float64, side string) string {
		return fmt.Sprintf("Raster %s leaves out %.1f %% of the picture at the %s: marks nearer to that edge are not in the file.", raster, pct, side)
	}
	for name, want := range map[string][]string{
		"480i": {note("480i", 100*2.5/243, "top"), note("480i", 100*0.5/243, "bottom")},
		"240p": {note("240p", 100*1.25/243, "top"), note("240p", 100*1.75/243, "bottom")},
		"486i": nil,
		"576i": nil,
	} {
		assert.Equal(t, want, onTube(t, "safe-area", timing.Lookup(name), Aspect4x3).scene.Notes, name)
	}
}

// TestCenterMark: the cross lies on the middle of the analog picture, within a
// quarter of a field line.
func TestCenterMark(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		u := onTube(t, "safe-area", r, aspect)
		row := u.across(rowNear(r, 0.03)).crossings(0.7, -0.02, 0.02)
		require.Len(t, row, 2)
		assert.InDelta(t, 0, (row[0]+row[1])/2, 1e-4, "across")
		column := u.down(0.03).crossings(0.7, -0.02, 0.02)
		require.Len(t, column, 2)
		assert.InDelta(t, 0, (column[0]+column[1])/2, 0.251/r.Scan.System.Height.Float64(), "down")
	})
}

func TestNumeralPanics(t *testing.T) {
	assert.PanicsWithValue(t, "pattern: no numeral x", func() { anyView(t).numeral("x", 0, 0, colorimetry.Gray(1)) })
	assert.Equal(t, 8, numeralWidth("10"), "cells of 10: three, a gap, four")
}

// TestCornerAngles measures the sides of the angles in the four corners along
// a row and a column through their arms: 0, 1, 2 and 2.5 % from the edges, as
// the entry of the catalogue says.
func TestCornerAngles(t *testing.T) {
	u := onTube(t, "safe-area", timing.Lookup("576i"), Aspect4x3)
	p := u.r.Picture()
	for _, side := range []float64{0.04, 0.96} { // of height and width: through the arms of both angles
		row := u.across(rowNear(u.r, side-0.5)).crossings(0.6, p.X0-0.02, p.X1+0.02)
		column := u.down(p.X0+side*(p.X1-p.X0)).crossings(0.6, -0.499, 0.499) // the raster ends at 0 and 100 %
		require.GreaterOrEqual(t, len(row), 8)
		require.GreaterOrEqual(t, len(column), 6)
		for i, want := range []float64{0, 1, 2, 2.5} {
			assert.InDelta(t, want, u.percentAcross(row[i]), 0.12, "side %d of the angles at the left", i)
			assert.InDelta(t, 100-want, u.percentAcross(row[len(row)-1-i]), 0.12, "side %d of the angles at the right", i)
		}
		for i, want := range []float64{1, 2, 2.5} {
			assert.InDelta(t, want, u.percentDown(column[i]), u.halfRow()+0.02, "side %d of the angles at the top", i)
			assert.InDelta(t, 100-want, u.percentDown(column[len(column)-1-i]), u.halfRow()+0.02, "side %d of the angles at the bottom", i)
		}
	}
}
