package device

import "backporch/colorimetry"

// A point is a signal as it stands on a wire, in mV: luma and the two of its
// color, or R, G and B. It is linear in the signal, so distances between points
// are those between what two colors do on the cable.
type point [3]float64

// pointOf returns where s lies on a family's wire.
func pointOf(f *colorimetry.Family, s colorimetry.Signal) point {
	if f.Interface == colorimetry.ComponentRGB {
		r, g, b := f.RGB(s)
		return point{float64(r), float64(g), float64(b)}
	}
	u, v := f.Vector(s)
	return point{float64(f.Luma(s)), float64(u), float64(v)}
}

// to returns the square of the distance to q.
func (a point) to(q point) float64 {
	x, y, z := a[0]-q[0], a[1]-q[1], a[2]-q[2]
	return float64(x*x) + float64(y*y) + float64(z*z)
}

// distance is the square of the distance between two signals on a wire, in mV.
func distance(f *colorimetry.Family, a, b colorimetry.Signal) float64 {
	return pointOf(f, a).to(pointOf(f, b))
}
