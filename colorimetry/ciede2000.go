package colorimetry

import "math"

// CIEDE2000 returns the color difference of ISO/CIE 11664-6 (2014) with its
// three weights at 1, as G. Sharma, W. Wu and E. N. Dalal spell it out ("The
// CIEDE2000 color-difference formula", 2005). About 1 is just seen side by side
// (common practice).
//
// It is written here because that of the library takes colors of an R'G'B' cube
// only, by way of a white of its own, and so cannot be held to the published
// pairs of L*a*b*.
func CIEDE2000(p, q Lab) float64 {
	// Chroma by which a* is stretched, so that grays become round.
	mean := (math.Hypot(p.A, p.B) + math.Hypot(q.A, q.B)) / 2
	stretch := 1 + 0.5*(1-math.Sqrt(share25(mean)))
	a1, a2 := float64(stretch*p.A), float64(stretch*q.A)
	c1, c2 := math.Hypot(a1, p.B), math.Hypot(a2, q.B)
	h1, h2 := hue(a1, p.B), hue(a2, q.B)

	turn := 0.0 // from h1 to h2, the shorter way
	if c1 != 0 && c2 != 0 {
		turn = h2 - h1
		switch {
		case turn > 180:
			turn -= 360
		case turn < -180:
			turn += 360
		}
	}
	dL, dC := q.L-p.L, c2-c1
	dH := 2 * math.Sqrt(float64(c1*c2)) * sind(turn/2)

	l, c, h := (p.L+q.L)/2, (c1+c2)/2, middleHue(h1, h2, c1, c2)
	t := 1 - float64(0.17*cosd(h-30)) + float64(0.24*cosd(2*h)) + float64(0.32*cosd(3*h+6)) - float64(0.20*cosd(4*h-63))
	far := float64((l - 50) * (l - 50))
	sL := 1 + 0.015*far/math.Sqrt(20+far)
	sC := 1 + float64(0.045*c)
	sH := 1 + float64(0.015*c*t)
	blue := (h - 275) / 25
	rT := -2 * math.Sqrt(share25(c)) * sind(60*math.Exp(-float64(blue*blue)))

	u, v, w := dL/sL, dC/sC, dH/sH
	return math.Sqrt(float64(u*u) + float64(v*v) + float64(w*w) + float64(rT*v*w))
}

// share25 is c^7 / (c^7 + 25^7).
func share25(c float64) float64 {
	seventh := math.Pow(c, 7)
	return seventh / (seventh + 6103515625) // 25^7
}

// hue returns the angle in degrees, 0 up to but not including 360; 0 of gray.
func hue(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

// middleHue is the hue between two, the shorter way; of a color and a gray that
// of the color.
func middleHue(h1, h2, c1, c2 float64) float64 {
	switch sum := h1 + h2; {
	case c1 == 0 || c2 == 0:
		return sum
	case math.Abs(h1-h2) <= 180:
		return sum / 2
	case sum < 360:
		return (sum + 360) / 2
	default:
		return (sum - 360) / 2
	}
}

func sind(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func cosd(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
