package colorimetry_test

import (
	"fmt"

	"backporch/colorimetry"
)

// Codes come from the real number, at every depth anew: 10 bits are not four
// times 8.
func ExampleCoding_Codes() {
	yellow := colorimetry.FromRGB(0.75, 0.75, 0)
	for _, k := range []*colorimetry.Coding{colorimetry.YCbCr8, colorimetry.YCbCr10, colorimetry.RGB8} {
		fmt.Printf("%-23s %v\n", k.Name, k.Codes(yellow))
	}
	// Output:
	// 8-bit Y'CbCr            [162 44 142]
	// 10-bit Y'CbCr           [646 176 567]
	// 8-bit full-range RGB    [191 191 0]
}

// The yellow bar of 75 % color bars, as an oscilloscope and a vectorscope show
// it at both setups.
func ExampleFamily_Phasor() {
	yellow := colorimetry.FromRGB(0.75, 0.75, 0)
	for _, f := range []*colorimetry.Family{colorimetry.CompositeM, colorimetry.CompositeJ} {
		pp, degrees := f.Phasor(yellow)
		fmt.Printf("%s: luma %.2f IRE, chroma %.2f IRE peak to peak at %.1f degrees\n",
			f.Name, f.Luma(yellow).IRE(), pp.IRE(), degrees)
	}
	// Output:
	// composite-m: luma 68.97 IRE, chroma 62.07 IRE peak to peak at 167.1 degrees
	// composite-j: luma 66.45 IRE, chroma 67.10 IRE peak to peak at 167.1 degrees
}

// Setup is wanted on the wire and the player adds none, so the file has it; the
// other way round, no file can take away what the player adds.
func ExamplePlan_File() {
	black := colorimetry.Gray(0)
	plan := colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}
	file, err := plan.File(black, colorimetry.YCbCr8)
	fmt.Println(colorimetry.YCbCr8.Codes(file), err)

	plan = colorimetry.Plan{Wire: colorimetry.CompositeJ, Player: colorimetry.CompositeM}
	_, err = plan.File(black, colorimetry.YCbCr8)
	fmt.Println("black", err)
	// Output:
	// [32 128 128] <nil>
	// black needs Y code -1.8, and 8-bit Y'CbCr has 1 to 254; the nearest level is +1.16 IRE (wanted +0.00 IRE)
}

func ExampleParseColor() {
	s, err := colorimetry.ParseColor("gray-50")
	fmt.Println(colorimetry.YCbCr8.Codes(s), err)
	_, err = colorimetry.ParseColor("gray-500")
	fmt.Println(err)
	// Output:
	// [126 128 128] <nil>
	// color "gray-500": gray-N takes a per cent from -7 to 109, such as gray-50
}
