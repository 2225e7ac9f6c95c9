package modeline_test

import (
	"fmt"

	"backporch/internal/modeline"
	"backporch/timing"
)

func ExampleNew() {
	m, err := modeline.New(timing.Lookup("240p"), 1280, modeline.CEA861)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.Line())
	fmt.Printf("%.3f Hz a line, %+.1f ppm; %.4f Hz a field\n", m.LineRate().Float64(), m.Deviation(), m.FieldRate().Float64())
	// Output:
	// Modeline "1280x240p"  23.90  1280 1311 1421 1519  240 244 247 262  -HSync -VSync
	// 15734.036 Hz a line, -14.6 ppm; 60.0536 Hz a field
}
