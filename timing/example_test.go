package timing_test

import (
	"fmt"

	"backporch/timing"
)

// What there is to know of a raster follows from its scan, its clock and its
// crop.
func ExampleRaster() {
	for _, name := range []string{"480i", "480i-dv", "240p", "576i"} {
		r := timing.Lookup(name)
		left, right := r.Window()
		fmt.Printf("%-7s %dx%d  %s, %v frames/s\n", r.Name, r.Width, r.Height(), r.Order(), r.FrameRate())
		fmt.Printf("        picture from sample %.2f to %.2f, pixel shape %v\n", left.Float64(), right.Float64(), r.PixelShape())
		for field := 1; field <= r.Scan.Fields; field++ {
			first, last := r.FieldLines(field)
			fmt.Printf("        field %d: lines %d to %d\n", field, first, last)
		}
	}
	// Output:
	// 480i    720x480  top field first, 30000/1001 frames/s
	//         picture from sample 2.20 to 715.75, pixel shape 10/11
	//         field 1: lines 23 to 262
	//         field 2: lines 286 to 525
	// 480i-dv 720x480  bottom field first, 30000/1001 frames/s
	//         picture from sample 2.20 to 715.75, pixel shape 10/11
	//         field 1: lines 23 to 262
	//         field 2: lines 285 to 524
	// 240p    720x240  progressive, 1125000/18733 frames/s
	//         picture from sample 2.20 to 715.75, pixel shape 5/11
	//         field 1: lines 22 to 261
	// 576i    720x576  top field first, 25 frames/s
	//         picture from sample 9.75 to 711.75, pixel shape 59/54
	//         field 1: lines 23 to 310
	//         field 2: lines 336 to 623
}

// A device with a clock of its own is a raster like the others: 256 samples of
// 3/2 of the color carrier, in 262 lines.
func ExampleRaster_PixelShape() {
	r := timing.Raster{
		Scan:  timing.Scan262,
		Clock: timing.System525.Subcarrier.Mul(timing.R(3, 2)),
		Start: timing.Int(63),
		Width: 256,
	}
	fmt.Println(r.PixelShape(), "at", r.SamplesPerLine(), "samples a line")
	// Output: 8/7 at 1365/4 samples a line
}

func ExampleScan_LineRate() {
	for _, s := range []*timing.Scan{timing.Scan525i, timing.Scan262, timing.Scan625i, timing.Scan312} {
		fmt.Printf("%-9s %16v = %.3f Hz\n", s.Name, s.LineRate(), s.LineRate().Float64())
	}
	// Output:
	// 525i           2250000/143 = 15734.266 Hz
	// 525p/262       2250000/143 = 15734.266 Hz
	// 625i                 15625 = 15625.000 Hz
	// 625p/312       3546895/227 = 15625.088 Hz
}

func ExampleSystem_Frequency() {
	for _, s := range []*timing.System{timing.System525, timing.System625} {
		fmt.Printf("%s: 450 TV lines are %.3f MHz\n", s.Name, s.Frequency(450, timing.R(4, 3)))
	}
	// Output:
	// 525/60: 450 TV lines are 5.676 MHz
	// 625/50: 450 TV lines are 5.769 MHz
}
