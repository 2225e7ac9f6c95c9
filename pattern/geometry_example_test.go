package pattern_test

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A scene says what the raster leaves out of the picture.
func ExampleSafeArea() {
	v := pattern.NewView(timing.Lookup("480i"), colorimetry.YCbCr8, frame.S422, pattern.Shaped)
	s, err := (&pattern.SafeArea{Standard: "rp27.3"}).Scene(v)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, note := range s.Notes {
		fmt.Println(note)
	}
	// Output:
	// Raster 480i leaves out 1.0 % of the picture at the top: marks nearer to that edge are not in the file.
	// Raster 480i leaves out 0.2 % of the picture at the bottom: marks nearer to that edge are not in the file.
}

// Convergence of red and green: a yellow crosshatch has a few kinds of rows.
func ExampleCrosshatch() {
	p, err := pattern.Parse("crosshatch color=yellow down=10")
	if err != nil {
		fmt.Println(err)
		return
	}
	r := timing.Lookup("576i")
	s, err := p.Scene(pattern.NewView(r, colorimetry.YCbCr10, frame.S422, pattern.Shaped))
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := pattern.Sample(s, r, frame.S422, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(f.Planes[0].Lines), "rows of", len(f.Planes[0].Rows), "kinds")
	// Output:
	// 576 rows of 4 kinds
}

// An option that does not fit says what would.
func ExampleCircles() {
	p := &pattern.Circles{Down: 12, Inner: 1, Outer: 4, Circle: 87, Width: 200, Color: "white", Background: "black"}
	_, err := p.Scene(pattern.NewView(timing.Lookup("480i"), colorimetry.YCbCr8, frame.S422, pattern.Shaped))
	fmt.Println(err)
	// Output:
	// outer: rings of radius 4 % touch each other in cells of 7.82 % of the picture height; use less, or fewer cells
}
