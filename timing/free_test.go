package timing

// allLines returns a row for every line of a frame, in time order.
func allLines(s *Scan, field2 int) []Line {
	lines := make([]Line, s.Lines)
	for i := range lines {
		lines[i] = Line{i + 1, 1}
		if i+1 > field2 {
			lines[i].Field = 2
		}
	}
	return lines
}

// free525 is the lattice of SMPTE 244M-2003 clause 4.1: four samples a cycle,
// 910 a line, at 57, 147 ... degrees after 0H.
func free525() *Raster {
	return &Raster{Name: "4fsc-525", Scan: Scan525i, Clock: R(315_000_000, 22), Start: R(57, 90), Free: true,
		Width: 910, Lines: allLines(Scan525i, 263)}
}

// free625 is the lattice of EBU Tech 3280-E clause 1.2: four samples a cycle,
// 709 379 a frame, at 45 degrees from the axes.
func free625() *Raster {
	return &Raster{Name: "4fsc-625", Scan: Scan625i, Clock: Int(17_734_475), Start: R(1, 2), Free: true,
		Width: 1135, Lines: allLines(Scan625i, 313)}
}
