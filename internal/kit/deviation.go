package kit

import (
	"fmt"

	"backporch/internal/device"
	"backporch/internal/render"
)

// A deviation is how far what a device emits of a level is from what is wanted.
type deviation struct {
	device.Row
	unit string // of luma: IRE, or per cent of white
}

// honesty returns the deviations of the patches of a job, in their order, for
// both ends: nil for patches that have none, and for a far end that there is
// not. merge says which colors a device had no room for.
func honesty(job *render.Job) (list [][2]*deviation, merge string, err error) {
	list = make([][2]*deviation, len(job.Scene.Patches))
	if job.Device == nil {
		return list, "", nil
	}
	report, err := job.Honesty()
	if err != nil {
		return nil, "", err
	}
	at := make(map[string]int, len(list)) // names of patches are their own
	for i, p := range job.Scene.Patches {
		at[p.Name] = i
	}
	unit := device.Unit(report.Wire)
	for _, row := range report.Rows {
		end := 0
		if row.End == "to" {
			end = 1
		}
		list[at[row.Patch.Name]][end] = &deviation{row, unit}
	}
	return list, report.Merge.Words(), nil
}

// words says it in a few: "luma -2.3 IRE, chroma +5.1 %, hue +2.4 deg".
func (d *deviation) words() string {
	e := d.Error
	luma := fmt.Sprintf("luma %+.1f %s", round(e.Luma, 10), d.unit)
	switch {
	case d.Neutral && e.Chroma < 0.05:
		return luma
	case d.Neutral:
		return luma + fmt.Sprintf(", %.1f %s of color in gray", e.Chroma, d.unit)
	case e.Chroma < -99.95:
		return luma + ", no color at all"
	}
	return luma + fmt.Sprintf(", chroma %+.1f %%, hue %+.1f deg", round(e.Chroma, 10), round(e.Hue, 10))
}

// verdict is "within" the limits, or words with a mark; "-" where nothing is
// known.
func (d *deviation) verdict() string {
	switch {
	case d == nil:
		return "-"
	case d.Beyond():
		return d.words() + " (!)"
	}
	return "within"
}

// limitsInWords says from where on a patch is marked.
func limitsInWords(unit string) string {
	return fmt.Sprintf("%g %s of luma, %g %% of chroma or %g degree of hue", device.LimitLuma, unit, device.LimitChroma, device.LimitHue)
}
