package pattern

import "math"

// near is how far two cuts may lie apart and be the same, picture heights.
const near = 1e-9

// splitBands returns bands that have a boundary at y.
func splitBands(bands []Band, y float64) []Band {
	var list []Band
	top := math.Inf(-1)
	for _, b := range bands {
		if y > top+near && y < b.Bottom-near {
			upper := b
			upper.Bottom = y
			list = append(list, upper)
		}
		list = append(list, b)
		top = b.Bottom
	}
	return list
}

// splice puts part, whose last band ends at bottom, in the place of what bands
// have between top and bottom.
func splice(bands []Band, top, bottom float64, part ...Band) []Band {
	var above, below []Band
	for _, b := range splitBands(splitBands(bands, top), bottom) {
		switch {
		case b.Bottom <= top+near:
			above = append(above, b)
		case b.Bottom > bottom+near:
			below = append(below, b)
		}
	}
	return append(append(above, part...), below...)
}

// overBands changes the bands between top and bottom.
func overBands(bands []Band, top, bottom float64, change func(Band) Band) []Band {
	list := splitBands(splitBands(bands, top), bottom)
	for i, b := range list {
		if b.Bottom > top+near && b.Bottom <= bottom+near {
			list[i] = change(b)
		}
	}
	return list
}
