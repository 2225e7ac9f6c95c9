package bt656_test

import (
	"fmt"

	"backporch/internal/encode/bt656"
	"backporch/timing"
)

func ExampleReference() {
	for _, line := range []int{1, 21, 265, 283} {
		f, v := bt656.Flags(timing.System525, bt656.Current, line)
		fmt.Printf("line %3d: F %d V %d, EAV %02X, SAV %02X\n", line, f, v, bt656.Reference(f, v, 1), bt656.Reference(f, v, 0))
	}
	// Output:
	// line   1: F 1 V 1, EAV F1, SAV EC
	// line  21: F 0 V 0, EAV 9D, SAV 80
	// line 265: F 0 V 1, EAV B6, SAV AB
	// line 283: F 1 V 0, EAV DA, SAV C7
}
