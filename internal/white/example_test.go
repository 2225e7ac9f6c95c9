package white_test

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/internal/white"
)

// Bench A is too blue in the light parts and too red in the shadows. Green
// stays.
func ExampleSolve() {
	tube, _ := colorimetry.ParsePrimaries("smpte-c")
	s, err := white.Solve(white.Options{Target: colorimetry.D65, Primaries: tube, Keep: white.Green}, []white.Reading{
		{Level: 0.2, XYZ: colorimetry.XYZ{X: 2.11, Y: 2.14, Z: 2.26}},
		{Level: 0.8, XYZ: colorimetry.XYZ{X: 54.9, Y: 58.1, Z: 68.4}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for g, m := range s.Moves {
		fmt.Printf("%-5s  drive %+5.1f %%  cutoff %+5.2f %%\n", white.Gun(g), m.Drive, m.Cutoff)
	}
	for _, p := range s.Steps {
		fmt.Printf("%2.0f %%: %.4f off, then %.4f\n", 100*p.Level, p.OffBefore, p.OffAfter)
	}
	// Output:
	// red    drive  +7.2 %  cutoff -3.03 %
	// green  drive  +0.0 %  cutoff +0.00 %
	// blue   drive  -4.2 %  cutoff +0.78 %
	// 20 %: 0.0082 off, then 0.0000
	// 80 %: 0.0073 off, then 0.0000
}

// The first round rests on what such controls usually do. The readings after it
// will show what these do.
func ExampleAdvise() {
	tube, _ := colorimetry.ParsePrimaries("smpte-c")
	controls := []white.Control{
		{Name: "R drive", Gun: white.Red, Role: white.Drive, Most: 255, Step: 1},
		{Name: "B drive", Gun: white.Blue, Role: white.Drive, Most: 255, Step: 1},
		{Name: "R cutoff", Gun: white.Red, Role: white.Cutoff, Most: 255, Step: 1},
		{Name: "B cutoff", Gun: white.Blue, Role: white.Cutoff, Most: 255, Step: 1},
	}
	a, err := white.Advise(white.Options{Target: colorimetry.D65, Primaries: tube, Keep: white.Green}, controls, []white.Round{{
		Settings: []float64{128, 128, 128, 128},
		Steps: []white.Reading{
			{Level: 0.2, XYZ: colorimetry.XYZ{X: 2.11, Y: 2.14, Z: 2.26}},
			{Level: 0.8, XYZ: colorimetry.XYZ{X: 54.9, Y: 58.1, Z: 68.4}},
		},
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for j, c := range controls {
		fmt.Printf("%-8s by way of %.0f to %.0f\n", c.Name, a.Past[j], a.Settings[j])
	}
	for _, n := range a.Notes {
		fmt.Println("-", n)
	}
	// Output:
	// R drive  by way of 115 to 153
	// B drive  by way of 97 to 110
	// R cutoff by way of 84 to 97
	// B cutoff by way of 115 to 138
	// - go past and come back up: turn a control down to where the advice says first and then up to its setting, so that its play is always taken up from the same side
	// - it is assumed that a higher setting of a control means more light of its gun; the next readings show whether that is so
}
