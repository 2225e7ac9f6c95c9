package meter_test

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/meter"
)

// Gray steps of a set whose shadows are green.
func ExampleAnalyze() {
	samples, err := meter.ReadTable(strings.NewReader(`# Bench A, before
level;x;y;Lv (cd/m2)
0;0,300;0,330;0,06
10;0,299;0,341;0,779
30;0,306;0,335;5,83
50;0,310;0,331;17,1
70;0,312;0,330;36
90;0,3127;0,3292;63,3
100;0,313;0,329;80,5
`), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	primaries, _ := colorimetry.ParsePrimaries("smpte-c")
	s, err := meter.Analyze(samples, meter.Options{Target: colorimetry.D65, Primaries: primaries})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("white %.0f K %+.1f MPCD, %.2f du*v* from the target\n", s.White.CCT.Kelvin, s.White.CCT.MPCD(), s.White.Off)
	gamma, by := s.Tone()
	fmt.Printf("contrast %.0f:1, gamma %.2f +- %.2f by %s (plain line %.2f)\n", s.Contrast, gamma.Value, gamma.Sigma, by, s.Gamma.Value)
	fmt.Printf("tracking: %.1f du*v* at worst over %d steps\n", s.WorstTrack, s.Judged)
	for _, x := range s.Steps[1:3] {
		fmt.Printf("at %.0f %% red %+.0f %%, blue %+.0f %% beside green\n", 100*x.Level, 100*(x.Guns[0]/x.Guns[1]-1), 100*(x.Guns[2]/x.Guns[1]-1))
	}
	// Output:
	// white 6490 K +7.6 MPCD, 0.28 du*v* from the target
	// contrast 1342:1, gamma 2.40 +- 0.00 by ITU-R BT.1886 with its black (plain line 2.00)
	// tracking: 3.1 du*v* at worst over 5 steps
	// at 10 % red -29 %, blue -11 % beside green
	// at 30 % red -15 %, blue -6 % beside green
}

// Plain fields of the guns, and what they make together.
func ExampleGuns() {
	var samples []meter.Sample
	for _, text := range []string{"red:0.622 0.343 17.9", "green:0.287 0.602 54.4", "blue:0.152 0.068 6.9", "white:0.313 0.330 77.0", "black:0.31 0.33 0.05"} {
		s, err := meter.ParseReading(meter.XYY, text)
		if err != nil {
			fmt.Println(err)
			return
		}
		samples = append(samples, s)
	}
	f, err := meter.Guns(samples)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, name := range []string{"red", "green", "blue"} {
		g := f.Guns[i]
		fmt.Printf("%-5s x %.4f y %.4f, %.1f %% of the light\n", name, g.XY.X, g.XY.Y, g.Share)
	}
	fmt.Printf("the sum is %+.1f %% of white\n", f.Additivity)
	p, err := meter.Phosphors(f.Primaries.R, f.Primaries.G, f.Primaries.B)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("inside EBU Tech 3213: red %t, green %t, blue %t; skin off by %.4f of .003\n", p.Guns[0].Inside, p.Guns[1].Inside, p.Guns[2].Inside, p.Skin)
	// Output:
	// red   x 0.6229 y 0.3430, 22.6 % of the light
	// green x 0.2870 y 0.6025, 68.8 % of the light
	// blue  x 0.1518 y 0.0676, 8.7 % of the light
	// the sum is +2.7 % of white
	// inside EBU Tech 3213: red false, green true, blue true; skin off by 0.0004 of .003
}

// White at three places.
func ExampleUniformity() {
	u, err := meter.Uniformity([]meter.Sample{
		{Level: 1, Name: "center", XYZ: colorimetry.XY{X: .313, Y: .329}.At(80)},
		{Level: 1, Name: "top-left", XYZ: colorimetry.XY{X: .311, Y: .330}.At(66)},
		{Level: 1, Name: "right", XYZ: colorimetry.XY{X: .316, Y: .327}.At(71)},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %.0f %% of the center's light\n", u.Least.Name, u.Least.Percent)
	fmt.Printf("%s: %.4f off in u', v', %.1f du*v*\n", u.Farthest.Name, u.Farthest.DUV, u.Farthest.Chroma)
	// Output:
	// top-left: 82 % of the center's light
	// right: 0.0029 off in u', v', 3.8 du*v*
}
