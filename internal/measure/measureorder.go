package measure

import "math"

// leastMixed is the share of the other field's chroma that is spoken of: a
// fifth of what conversion by frames leaves. Common practice.
const leastMixed = 0.2

// order looks at the order of rows and of fields.
func order(q *Request, at Place, def *Picture) []Finding {
	var out []Finding
	add := func(f Fault, confidence float64) {
		out = append(out, Finding{Fault: f, Confidence: confidence, Value: math.NaN(), Sigma: math.NaN()})
	}
	if c, ok := SwappedRows(q.Picture, def, at); ok {
		add(RowsSwapped, c)
	}
	if mixed, sigma, ok := MixedChroma(q.Picture, def, at); ok {
		add(ChromaFields, normal((mixed-leastMixed)/sigma)*believed(mixed, sigma, 0.7))
	}
	if late, sure, ok := newerFirst(q, at); ok && late {
		add(FieldsLate, sure)
	}
	return out
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
