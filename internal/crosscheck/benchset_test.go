package crosscheck

import (
	"fmt"
	"math"
	"math/rand/v2"

	"backporch/colorimetry"
	screen "backporch/internal/geometry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A benchSet is a set of the worked example: nobody has built it, and what is
// read of it is invented. Its laws are plain ones (three guns of one gamma, a
// raster bent by polynomials, a decoder with gain and phase), its figures our
// own. Readings scatter as a meter's and a ruler's do, by a seeded generator, so
// that the example is the same every time.
type benchSet struct {
	scatter *rand.Rand

	// A gun's light is its share of white times what signal, cutoff and
	// brightness add up to, to the power of gamma.
	phosphors   colorimetry.Primaries
	gamma       float64
	contrast    float64    // light of white, cd/m2
	brightness  float64    // share of the range of signals
	glass       float64    // light of the room on the screen, cd/m2
	knobs       [4]float64 // where they stand
	right       [4]float64 // where they would have to for gray to be gray
	turn        [2]float64 // what one unit of a drive and of a cutoff does: more gain, more light
	corner      float64    // light of the corners as a share of the middle
	cornerTint  float64    // what is lacking of their blue
	blueContent float64    // light of the blue gun on a 75 % bar, cd/m2

	// The raster on the glass, as shares of the visible screen's height where
	// nothing else is said.
	height, wide      float64 // of the picture; its width against what its height asks for
	right0, down0     float64 // place of its middle
	tilt, pin, key    float64
	lineRight, lineUp float64

	// Lines of red and blue beside those of green, mm right and down.
	red, blue  [2]float64 // in the middle
	edge, last float64    // more at the edges; in the lower left corner alone

	purity, focus map[string]benchGrade // of places that are not perfect
	chroma        map[string]benchChroma
	grown         float64 // of the picture from dark to bright, per cent
}

type benchGrade struct {
	grade int
	words string
}

// benchChroma is an error of a decoder: gain 1 and 0 degrees are none.
type benchChroma struct{ gain, degrees float64 }

// The visible screen of a tube of 20 inches, 4:3, mm.
const benchWidth, benchHeight = 406.4, 304.8

// benchKnobs are the names of the knobs, in their order.
func benchKnobs() [4]string { return [4]string{"red-drive", "blue-drive", "red-cutoff", "blue-cutoff"} }

// noise is a reading error of that size, one standard deviation.
func (s *benchSet) noise(sigma float64) float64 { return sigma * s.scatter.NormFloat64() }

// light is what the middle of the screen gives for signals of the three guns, 1
// is white; part is how bright and how blue a place is against the middle.
func (s *benchSet) light(signal [3]float64, part, blue float64) colorimetry.XYZ {
	var guns [3]float64
	for g := range guns {
		drive, cutoff := 1.0, s.brightness
		if k := g / 2; g != 1 { // red has the first knob of each pair, blue the second
			drive += s.turn[0] * (s.knobs[k] - s.right[k])
			cutoff += s.turn[1] * (s.knobs[2+k] - s.right[2+k])
		}
		guns[g] = s.contrast * part * math.Pow(max(signal[g]*drive+cutoff, 0), s.gamma)
	}
	guns[2] *= blue
	c := s.phosphors.Matrix(colorimetry.D65.XY).XYZ(guns[0], guns[1], guns[2])
	room := colorimetry.D65.At(s.glass)
	return colorimetry.XYZ{X: c.X + room.X, Y: c.Y + room.Y, Z: c.Z + room.Z}
}

// meter reads light as a colorimeter shows it: x, y and cd/m2, which repeat to
// 0.0003 and 0.2 per cent.
func (s *benchSet) meter(what string, c colorimetry.XYZ) string {
	xy, _ := c.XY()
	x, y, luminance := xy.X+s.noise(0.0003), xy.Y+s.noise(0.0003), c.Y*(1+s.noise(0.002))
	decimals := 1
	if luminance < 10 {
		decimals = 3
	}
	return fmt.Sprintf("%s:%.4f %.4f %.*f", what, x, y, decimals, luminance)
}

func (s *benchSet) grays(levels ...float64) (reads []string) {
	for _, l := range levels {
		v := l / 100
		reads = append(reads, s.meter(fmt.Sprint(l), s.light([3]float64{v, v, v}, 1, 1)))
	}
	return reads
}

// staircase is the gray steps of the record.
func (s *benchSet) staircase() []string { return s.grays(0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100) }

func (s *benchSet) guns() (reads []string) {
	for _, f := range []struct {
		name   string
		signal [3]float64
	}{{"red", [3]float64{1, 0, 0}}, {"green", [3]float64{0, 1, 0}}, {"blue", [3]float64{0, 0, 1}}, {"white", [3]float64{1, 1, 1}}, {"black", [3]float64{}}} {
		reads = append(reads, s.meter(f.name, s.light(f.signal, 1, 1)))
	}
	return reads
}

func (s *benchSet) uniformity() (reads []string) {
	for _, z := range screen.Zones() {
		far := (z.U*z.U + z.V*z.V) / 2 / (0.9 * 0.9) // 1 in the corners
		blue := 1 - s.cornerTint*far*(1+z.U)/2
		reads = append(reads, s.meter(z.Name, s.light([3]float64{1, 1, 1}, 1-(1-s.corner)*far, blue)))
	}
	return reads
}

// rulers are the crossings of the crosshatch, read to half a millimeter: middle,
// sides, corners and, on the middle lines, those halfway.
func (s *benchSet) rulers() (reads []string, err error) {
	v := pattern.NewView(timing.Lookup("480i"), colorimetry.YCbCr10, frame.S422, pattern.Shaped)
	p, err := pattern.Parse("crosshatch")
	if err != nil {
		return nil, err
	}
	c, err := v.Crossings(p)
	if err != nil {
		return nil, err
	}
	x, y := c.Columns-1, c.Rows-1
	half := func(v float64) float64 { return math.Round(2*v) / 2 }
	for _, at := range [][2]int{{-x, -y}, {0, -y}, {x, -y}, {-x, 0}, {0, 0}, {x, 0}, {-x, y}, {0, y}, {x, y}, {-x / 2, 0}, {x / 2, 0}, {0, -y / 2}, {0, y / 2}} {
		px, py := c.At(at[0], at[1])
		u, w := 2*px/v.Width(), 2*py
		across := benchWidth/2 + benchHeight*(s.right0+s.height*s.wide*px+s.lineRight*(1-u*u)-s.pin*u*w*w+s.key*u*w-s.tilt*w/2)
		down := benchHeight/2 + benchHeight*(s.down0+s.height*py-s.lineUp*(1-w*w)+s.tilt*u*v.Width()/2)
		reads = append(reads, fmt.Sprintf("%d,%d:%.1f %.1f", at[0], at[1], half(across+s.noise(0.2)), half(down+s.noise(0.2))))
	}
	return reads, nil
}

// convergence is read with a magnifier, to a twentieth of a millimeter.
func (s *benchSet) convergence() (reads []string) {
	read := func(v float64) float64 { return math.Round(20*(v+s.noise(0.02)))/20 + 0 }
	for _, z := range screen.Zones() {
		red := [2]float64{s.red[0] + s.edge*z.U*z.V, s.red[1] - s.edge*z.U*z.U/2}
		blue := [2]float64{s.blue[0] - s.edge*z.U, s.blue[1] + s.edge*z.V*z.V/2}
		if z.Name == "bottom-left" {
			blue[0], blue[1] = blue[0]+s.last, blue[1]-s.last/2
		}
		reads = append(reads, fmt.Sprintf("%s red:%.2f %.2f", z.Name, read(red[0]), read(red[1])), fmt.Sprintf("%s blue:%.2f %.2f", z.Name, read(blue[0]), read(blue[1])))
	}
	return reads
}

// fields are the grades of purity; a place that nothing is said of is perfect.
func (s *benchSet) fields() (reads []string) {
	for _, z := range screen.ZoneNames() {
		for _, f := range []string{"red", "green", "blue"} {
			reads = append(reads, graded(z+" "+f, s.purity))
		}
	}
	return reads
}

func (s *benchSet) sharpness() (reads []string) {
	for _, z := range screen.ZoneNames() {
		reads = append(reads, graded(z, s.focus))
	}
	return reads
}

func graded(what string, grades map[string]benchGrade) string {
	g, ok := grades[what]
	if !ok {
		g.grade = 5
	}
	text := fmt.Sprintf("%s:%d", what, g.grade)
	if g.words != "" {
		text += " " + g.words
	}
	return text
}

// bars are the light of 75 % bars with one gun alone: blue, or on component
// inputs red, whose gain then is that of Pr. U = kU (B'-Y') and V = kV (R'-Y') of
// SMPTE 170M-2004 annex A.3 are turned and stretched.
func (s *benchSet) bars(input, gun string) (reads []string) {
	const kU, kV = 0.492111, 0.877283
	e := s.chroma[input]
	sin, cos := math.Sincos(e.degrees * math.Pi / 180)
	names := map[string][]string{"blue": {"gray", "cyan", "magenta", "blue"}, "red": {"gray", "yellow", "magenta", "red"}}
	rgb := map[string][3]float64{"gray": {1, 1, 1}, "yellow": {1, 1, 0}, "cyan": {0, 1, 1}, "magenta": {1, 0, 1}, "red": {1, 0, 0}, "blue": {0, 0, 1}}
	for _, name := range names[gun] {
		c := rgb[name]
		y := 0.299*c[0] + 0.587*c[1] + 0.114*c[2]
		u, v := kU*(c[2]-y), kV*(c[0]-y)
		signal := y + e.gain*(u*cos-v*sin)/kU
		light := s.blueContent
		if gun == "red" {
			signal, light = y+e.gain*(u*sin+v*cos)/kV, 3*s.blueContent
		}
		reads = append(reads, fmt.Sprintf("%s:%.2f", name, light*math.Pow(max(signal, 0), s.gamma)*(1+s.noise(0.003))))
	}
	return reads
}

// sizes are those of a dark and of a bright picture, between the same lines.
func (s *benchSet) sizes() []string {
	const width, height = 372, 279
	more := 1 + s.grown/100
	return []string{fmt.Sprintf("10:%.1f %.1f", float64(width), float64(height)), fmt.Sprintf("90:%.1f %.1f", width*more, height*more)}
}
