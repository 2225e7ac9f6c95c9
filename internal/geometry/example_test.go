package geometry_test

import (
	"fmt"
	"math"

	"backporch/internal/geometry"
)

// Bench A shows a picture that lies too far right and is wider on the right; its
// left edge is to be seen.
func ExampleAnalyze() {
	var points []geometry.Point
	for i, mm := range []float64{31, 116, 204, 295, 389} {
		points = append(points, geometry.Point{X: float64(i-2) * 0.3, Across: mm, Down: math.NaN()})
	}
	fit, err := geometry.Analyze(points, geometry.Screen{Width: 400, Height: 300, Picture: 4.0 / 3})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, key := range []string{"width", "center-right", "overscan-left", "overscan-right", "linearity-across", "spacing-across", "tilt"} {
		if t := fit.Term(key); t.Known {
			fmt.Printf("%s: %.1f ± %.1f %s\n", t.Name, t.Value, t.Sigma, t.Unit)
		} else {
			fmt.Printf("%s: not shown by these points\n", t.Name)
		}
	}
	// Output:
	// Width of the picture: 397.8 ± 1.1 mm
	// Centering across: 1.3 ± 0.1 % of picture height
	// Overscan, left: -3.1 ± 0.2 % of picture width
	// Overscan, right: 2.6 ± 0.2 % of picture width
	// Linearity across: 2.5 ± 0.2 % of picture height
	// Spacing of the columns: 10.1 ± 1.1 % of mean spacing
	// Tilt: not shown by these points
}

// On Bench B red lies right of green and blue left of it.
func ExampleConvergence() {
	m, err := geometry.Convergence([]geometry.Offset{
		{Zone: "center", Gun: "red", Right: 0.4},
		{Zone: "center", Gun: "blue", Right: -0.4},
		{Zone: "right", Gun: "red", Right: 0.9},
		{Zone: "right", Gun: "blue", Right: -0.3},
	}, geometry.Tube{Height: 300, Line: geometry.LineMM(300, 576)})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, z := range m.Zones {
		fmt.Printf("%s: %.1f mm, %.1f line widths, %.2f %% (%s)\n", z.Zone.Name, z.Farthest.MM, z.Farthest.Lines, z.Farthest.Percent, z.Pair)
	}
	fmt.Printf("dynamic: %.1f mm at %s\n", m.Dynamic.MM, m.DynamicAt)
	fmt.Println(m.Notes[0])
	// Output:
	// center: 0.8 mm, 1.5 line widths, 0.27 % (red-blue)
	// right: 1.2 mm, 2.3 line widths, 0.40 % (red-blue)
	// dynamic: 0.5 mm at right
	// Red and blue lie apart in the middle (red 0.40 mm right and 0.00 mm down from halfway): the pair of four-pole rings, which move red and blue against each other. First red onto blue.
}
