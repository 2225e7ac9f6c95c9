package frame_test

import (
	"fmt"

	"backporch/pattern/frame"
	"backporch/timing"
)

// A frame keeps each different row once, and says which of them a line shows.
func ExampleFrame_Distinct() {
	r := timing.Lookup("240p")
	f := frame.Frame{Raster: r, Sampling: frame.S444}
	for c := range f.Planes {
		var rows frame.Interner
		for j := range r.Lines {
			row := make([]float64, r.Width)
			if c == 0 && j < 20 { // white above, black below
				for i := range row {
					row[i] = 1
				}
			}
			f.Planes[c].Lines = append(f.Planes[c].Lines, rows.Add(row))
		}
		f.Planes[c].Rows = rows.Rows()
	}
	rows, lines := f.Distinct()
	fmt.Println(len(lines), "lines,", len(rows), "different ones:", rows)
	// Output: 240 lines, 2 different ones: [[0 0 0] [1 0 0]]
}

func ExampleSampling_Check() {
	fmt.Println(frame.S420Field.Check(timing.Lookup("486i")))
	// Output: raster 486i: 243 lines a field cannot be paired for 4:2:0 by field; use a 4:2:2 or 4:4:4 format, or raster 480i
}
