package report

import (
	"fmt"

	"backporch/internal/job"
)

// plotZones writes the light of each place, in per cent of the middle, where it
// was read.
func plotZones(wide float64, limit *job.Limit, names [2]string, r [2]*Result) (figure, bool) {
	n := 0
	for _, one := range r {
		if one != nil {
			n += len(one.Zones)
		}
	}
	if n == 0 {
		return figure{}, false
	}
	d := newDrawing(pairDrawing, pairHigh(wide), "Uniformity of white", "Light at each place of the screen in per cent of the middle, and its distance in color.")
	for i, one := range r {
		p := d.pairPanel(i, wide, names[i])
		if one == nil || len(one.Zones) == 0 {
			d.text(p.x+p.w/2, p.y+p.h/2, "middle", "not measured")
			continue
		}
		for _, z := range one.Zones {
			x, y, ok := zonePlace(z.Name, wide)
			if !ok || !finite(z.Percent, z.Off) {
				continue
			}
			px, py := p.at(0.85*x, 0.85*y)
			if limit != nil && limit.Min != nil && z.Percent < *limit.Min {
				d.rect(px-35, py-19, 70, 36, style{width: 1.6})
			}
			d.text(px, py-4, "middle", fmt.Sprintf("%.0f %%", z.Percent))
			d.text(px, py+11, "middle", fmt.Sprintf("%.1f", z.Off))
		}
	}
	caption := "White at each place: light in per cent of the middle, and below it the distance in color from the middle, du*v*."
	if limit != nil && limit.Min != nil {
		caption += fmt.Sprintf(" Framed: below %.4g %%.", *limit.Min)
	}
	return figure{SVG: d.html(), Wide: true, Caption: caption}, true
}
