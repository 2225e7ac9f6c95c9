package measure

import (
	"math"
	"slices"

	"backporch/colorimetry"
)

// leastMixed is the share of the other field's chroma that is spoken of: a
// fifth of what conversion by frames leaves. Common practice.
const leastMixed = 0.2

// order looks at the colors of the fields and at their order in time.
func order(q *Request, at Place, def *Picture) []Finding {
	var out []Finding
	add := func(f Fault, confidence float64) {
		out = append(out, Finding{Fault: f, Confidence: confidence, Value: math.NaN(), Sigma: math.NaN()})
	}
	// Rows between those of the raster belong to no field.
	const exact = 0.3
	// A signal never was 4:2:0, and what its decoder's comb mixes is no fault.
	if q.Picture.Raster == nil && at.SigmaY < exact && colorsDiffer(def) {
		if mixed, sigma, ok := MixedChroma(q.Picture, def, at); ok {
			add(ChromaFields, normal((mixed-leastMixed)/sigma)*believed(mixed, sigma, 0.7))
		}
	}
	if late, sure, ok := newerFirst(q, at); ok && late {
		add(FieldsLate, sure)
	}
	return out
}

// colorsDiffer reports whether rows 2k and 2k+1 of a definition differ in color.
func colorsDiffer(def *Picture) bool {
	const some = 0.02
	for c := colorimetry.CB; c <= colorimetry.CR; c++ {
		for j := 0; j+1 < def.Height; j += 2 {
			a, b := def.Row(c, j), def.Row(c, j+1)
			for i := range a {
				if d := a[i] - b[i]; d > some || d < -some {
					return true
				}
			}
		}
	}
	return false
}

// newerFirst reports whether in a single frame of a moving pattern the field
// that ought to be the older shows the later time.
func newerFirst(q *Request, at Place) (late bool, sure float64, ok bool) {
	r := q.Raster
	if q.Scene.Period <= 1 || !r.Scan.Interlaced() || q.Picture.Frames > 1 {
		return false, 0, false
	}
	times, sure, ok := FieldTimes([]*Picture{q.Picture}, at, q.Scene, r)
	if !ok || len(times) < 2 {
		return false, 0, false
	}
	older, newer := times[0], times[1]
	if r.Lines[0].Field == 2 {
		older, newer = newer, older
	}
	// The scene begins anew after so many fields: less than half of them is
	// forward.
	fields := 2 * q.Scene.Period
	return ((newer-older)%fields+fields)%fields > q.Scene.Period, sure, true
}

// unswapped returns the request with rows 2k and 2k+1 in the place of each other
// where that explains the capture better, with the place that is then found, and
// the confidence that they were exchanged. All else is measured after that.
func unswapped(q *Request, at Place, def *Picture) (*Request, Place, float64, error) {
	p := q.Picture
	if !q.Raster.Scan.Interlaced() || p.Height != q.Raster.Height() {
		return q, at, 0, nil
	}
	const suspicious = 0.3
	c, ok := SwappedRows(p, def, at)
	if !ok {
		c = 0
	}
	var err error
	if n := nominal(p, q.Raster, at); c < suspicious && math.Abs(at.Y0-n.Y0) > suspicious {
		// A shift by a row looks much like it.
		other := at
		other.Y0, other.DY = n.Y0, n.DY
		if c, err = swappedAt(q, p, other); err != nil {
			return nil, at, 0, err
		}
	}
	if c < suspicious {
		return q, at, 0, nil
	}
	r := *q
	r.Picture = withRowsExchanged(p)
	there, err := findPlace(&r)
	if err != nil {
		return nil, at, 0, err
	}
	// The rows that are now in their place must fit the definition better.
	if there.Score <= at.Score {
		return q, at, 0, nil
	}
	still, err := swappedAt(&r, r.Picture, there)
	if err != nil {
		return nil, at, 0, err
	}
	return &r, there, min(c, 1-still), nil
}

// swappedAt is SwappedRows at a place, 0 where it cannot tell.
func swappedAt(q *Request, p *Picture, at Place) (float64, error) {
	def, err := Definition(p, at, q.Scene, q.Raster, 0)
	if err != nil {
		return 0, err
	}
	c, ok := SwappedRows(p, def, at)
	if !ok {
		return 0, nil
	}
	return c, nil
}

// withRowsExchanged returns the picture with rows 2k and 2k+1 of all planes exchanged.
func withRowsExchanged(p *Picture) *Picture {
	out := *p
	for c := colorimetry.Y; c <= colorimetry.CR; c++ {
		w, h := p.Size(c)
		out.Planes[c] = exchangedRows(p.Planes[c], w, h)
		if p.Noise[c] != nil {
			out.Noise[c] = exchangedRows(p.Noise[c], w, h)
		}
	}
	return &out
}

func exchangedRows(v []float32, w, h int) []float32 {
	out := slices.Clone(v)
	for j := 0; j+1 < h; j += 2 {
		copy(out[j*w:(j+1)*w], v[(j+1)*w:(j+2)*w])
		copy(out[(j+1)*w:(j+2)*w], v[j*w:(j+1)*w])
	}
	return out
}
