package compare

import (
	"errors"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// InFiles reports that the variants differ in what drives the tube, so that a
// file can show it on another set. The error says why not.
func (r *Result) InFiles() error {
	if r.Axis == ColorTemperature {
		return errors.New("white belongs to the tube and not to the signal, so the files would all be alike; compare it on the page")
	}
	return nil
}

// Frame returns what the set of a variant decodes, on the samples and lines of
// the shown raster in 4:4:4: what drives its tube, to be shown on a set that is
// right. Where one gun is lit alone the others have black. Beyond the picture on
// the wire its edge values go on; lines that the wire does not show are black.
func (r *Result) Frame(o *Outcome) *frame.Frame {
	f := o.resampled(r.View.Shown)
	if r.Gun == AllGuns {
		return f
	}
	triples, lines := f.Distinct()
	out := &frame.Frame{Raster: f.Raster, Sampling: f.Sampling}
	for _, t := range triples {
		y, cb, cr := f.Triple(t)
		var rows [3][]float64
		for c := range rows {
			rows[c] = make([]float64, len(y))
		}
		for i := range y {
			drive := primaries(colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]})
			var lit [3]float64
			lit[r.Gun.index()] = drive[r.Gun.index()]
			s := colorimetry.FromRGB(lit[0], lit[1], lit[2])
			rows[0][i], rows[1][i], rows[2][i] = s.Y, s.CB, s.CR
		}
		for c := range out.Planes {
			out.Planes[c].Rows = append(out.Planes[c].Rows, rows[c])
		}
	}
	for c := range out.Planes {
		out.Planes[c].Lines = lines
	}
	return out
}

// Clipped names the patches of a variant that drive a gun above white, which a
// file of full-range R'G'B' cannot hold. What lies below black is no loss: no
// gun gives light there.
func (r *Result) Clipped(o *Outcome) (names []string) {
	const half = 0.5 / 255 // of a code
	over := func(drive [3]float64) bool {
		for g, v := range drive {
			if v > 1+half && (r.Gun == AllGuns || g == r.Gun.index()) {
				return true
			}
		}
		return false
	}
	for _, s := range o.Steps {
		if over([3]float64{s.Drive, s.Drive, s.Drive}) {
			names = append(names, s.Name)
		}
	}
	for _, b := range o.Bars {
		if over(b.Got.Drive) {
			names = append(names, b.Name)
		}
	}
	return names
}
