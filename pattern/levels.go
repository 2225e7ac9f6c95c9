package pattern

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/timing"
)

// stillBright is the caution for pictures with large bright parts.
const stillBright = "A bright picture that stands still for hours leaves its mark in the phosphor: take it off, or turn the contrast down, when you have read it."

var (
	black = colorimetry.Gray(0)
	white = colorimetry.Gray(1)
)

// across returns the place of a fraction of the shown width.
func (v View) across(fraction float64) float64 {
	e := v.Shown.Shown()
	return blend(e.X0, e.X1, fraction)
}

// down returns the cut nearest to a fraction of the shown height; 0 and 1 are
// the top of the first and the bottom of the last row.
func (v View) down(fraction float64) float64 {
	e := v.Shown.Shown()
	switch fraction {
	case 0:
		return e.Y0
	case 1:
		return e.Y1
	}
	return v.Cut(blend(e.Y0, e.Y1, fraction))
}

// endsAt makes the last of bands go on for ever.
func endsAt(bands []Band) []Band {
	bands[len(bands)-1].Bottom = endless
	return bands
}

// area returns a patch of one level.
func area(name string, x0, y0, x1, y1 float64, want colorimetry.Signal, absent string) Patch {
	return Patch{Name: name, Kind: Level, Absent: absent, X0: x0, Y0: y0, X1: x1, Y1: y1, Want: want, To: want}
}

// reach returns a level that the user asked for as the view's coding can hold
// it: itself, or the nearest that there is and why the wanted one is absent.
func (v View) reach(want colorimetry.Signal) (colorimetry.Signal, string) {
	_, why := v.hold(want, want)
	if why == "" {
		return want, ""
	}
	nearest := v.Coding.Signal(v.Coding.Codes(want))
	if v.Coding.Model != colorimetry.RGB {
		why = fmt.Sprintf("%s goes no further than %.2f %% of white", v.Coding.Name, 100*nearest.Y)
	}
	return nearest, why
}

// lines625 reports whether the view's raster belongs to 625/50.
func (v View) lines625() bool { return v.Shown.Scan.System == timing.System625 }

// wireIRE returns the family by which patches stated in IRE are reckoned. At
// 625 lines there is no setup: there they are those of a wire without it.
func (v View) wireIRE() *colorimetry.Family {
	if v.lines625() {
		return colorimetry.PAL
	}
	return v.Plan.Wire
}

// perIRE is the size of 1 IRE as a part of the luma excursion: 92.5 IRE with
// setup, 100 without. EG 1 is a signal with setup, so a wire that is not known
// counts as having it.
func (v View) perIRE() float64 {
	if w := v.wireIRE(); w == nil || w.Black > 0 {
		return 1 / 92.5
	}
	return 0.01
}

// ireNotes says what patches stated in IRE were reckoned with.
func (v View) ireNotes(patches string) []string {
	switch {
	case v.lines625():
		return []string{patches + " are not standardized at 625 lines: they have the color differences and the steps of the 525-line signal without setup."}
	case v.Plan.Wire == nil:
		return []string{patches + " are stated in IRE on the wire: these are their levels for a wire with 7.5 IRE of setup. Without setup they differ; name the wire's setup if it has none."}
	case v.Plan.Wire.Interface != colorimetry.Composite:
		setup := "without setup"
		if v.Plan.Wire.Black > 0 {
			setup = "with 7.5 IRE of setup"
		}
		return []string{patches + " are stated in IRE on a composite wire: for " + v.Plan.Wire.Title + " they are those of one " + setup + "."}
	}
	return nil
}
