package timing

// FieldLines returns the first and the last analog line, from top to bottom,
// that the raster shows of a field, 1 or 2; both are 0 when it shows none. The
// rows of a field are consecutive lines.
func (r *Raster) FieldLines(field int) (first, last int) {
	for _, l := range r.Lines {
		if l.Field != field {
			continue
		}
		if first == 0 {
			first = l.Number
		}
		last = l.Number
	}
	return first, last
}
