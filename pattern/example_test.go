package pattern_test

import (
	"fmt"
	"log"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A pattern is laid out on a view and becomes named patches, each with the
// codes that a file must hold.
func ExampleParse() {
	p, err := pattern.Parse("bars-full set=100/0/75/0")
	if err != nil {
		log.Fatal(err)
	}
	v := pattern.NewView(timing.Lookup("480i"), colorimetry.YCbCr8, frame.S422, pattern.Shaped)
	s, err := p.Scene(v)
	if err != nil {
		log.Fatal(err)
	}
	for _, q := range s.Patches {
		fmt.Printf("%-8s %3d\n", q.Name, v.Coding.Codes(q.Want))
	}
	// Output:
	// white    [235 128 128]
	// yellow   [162  44 142]
	// cyan     [131 156  44]
	// green    [112  72  58]
	// magenta  [ 84 184 198]
	// red      [ 65 100 212]
	// blue     [ 35 212 114]
	// black    [ 16 128 128]
}

// A sampled picture keeps each different row once: split-field bars of 480
// rows have two.
func ExampleSample() {
	p, err := pattern.Parse("bars-eia189")
	if err != nil {
		log.Fatal(err)
	}
	r := timing.Lookup("480i")
	s, err := p.Scene(pattern.NewView(r, colorimetry.YCbCr8, frame.S422, pattern.Shaped))
	if err != nil {
		log.Fatal(err)
	}
	f, err := pattern.Sample(s, r, frame.S422, 0)
	if err != nil {
		log.Fatal(err)
	}
	y := f.Planes[colorimetry.Y]
	fmt.Println(len(y.Lines), "lines,", len(y.Rows), "rows")
	fmt.Printf("row 359: %.4f, row 360: %.4f\n", y.Row(359)[180], y.Row(360)[180])
	// Output:
	// 480 lines, 2 rows
	// row 359: 0.6645, row 360: 1.0000
}

// Spell writes a pattern as kits and tags do.
func ExampleSpell() {
	e, err := pattern.Find("staircase")
	if err != nil {
		log.Fatal(err)
	}
	_, options := e.New()
	for _, o := range options {
		if o.Name == "risers" {
			if err := o.Set("5"); err != nil {
				log.Fatal(err)
			}
		}
	}
	fmt.Println(pattern.Spell(e, options))
	// Output: staircase risers=5
}
