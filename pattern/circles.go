package pattern

import "fmt"

// Circles is linearity rings around the crossings of a lattice, and a large
// circle around the middle of the picture.
type Circles struct {
	Across, Down int     // cells, even; Across 0 makes them square
	Inner, Outer float64 // radii of a ring, per cent of the picture height
	Circle       float64 // diameter of the large circle, per cent of the picture height; 0 for none
	Width        float64 // of the large circle's line where it is upright, ns
	Color        string
	Background   string
}

// rim checks the radii of a ring, both in picture heights.
func (v View) rim(g lattice, r ring) error {
	cell := min(g.PX*v.stretch(), g.PY)
	switch {
	case r.Out-r.In < minRim:
		return fmt.Errorf("inner: a ring from %.3g to %.3g %% of the picture height is too thin; use radii at least %.3g apart", 100*r.In, 100*r.Out, 100*minRim)
	case 2*r.reach() > cell:
		return fmt.Errorf("outer: rings of radius %.3g %% touch each other in cells of %.3g %% of the picture height; use less, or fewer cells", 100*r.Out, 100*cell)
	}
	return nil
}

// minRim is the least difference of a ring's radii, in picture heights: what
// the edges of a shaped picture can still show.
const minRim = 0.004

// Scene implements Pattern.
func (p *Circles) Scene(v View) (*Scene, error) {
	g, err := v.lattice(p.Across, p.Down)
	if err != nil {
		return nil, err
	}
	r := v.ring(p.Inner/100, p.Outer/100)
	if err := v.rim(g, r); err != nil {
		return nil, err
	}
	color, ground, err := v.inks(p.Color, p.Background)
	if err != nil {
		return nil, err
	}
	all := v.rings(r, g.columns(), g.rows(), color, ground)
	layers := []rings{all}
	ringPatch := color.patch("ring in the middle, at the right", Line, r.In/v.stretch(), -r.In/2, r.Out/v.stretch(), r.In/2)
	patches := []Patch{ringPatch}
	notes := v.outside("ring", all.places())
	if p.Circle > 0 {
		w := float64(v.ns(p.Width) * v.stretch())
		line := v.ring((p.Circle/100-w)/2, (p.Circle/100+w)/2)
		big := v.rings(line, []float64{0}, []float64{0}, color, ground)
		layers = append(layers, big)
		notes = append(notes, v.outside("large circle", big.places())...)
		patches = append(patches, color.patch("large circle at the right", Line,
			line.In/v.stretch(), -r.In/2, line.Out/v.stretch(), r.In/2))
	}
	patches = append(patches, p.background(v, g, r, ground)...)
	s := still(withRings([]Band{plain(ground)}, v.Shown.Span(0).DY, layers...), patches...)
	s.Notes = notes
	return s, nil
}

// background is the free strip between the ring in the middle and the next
// one, inside the large circle.
func (p *Circles) background(v View, g lattice, r ring, ground ink) []Patch {
	x0, x1 := r.reach(), float64(g.PX*v.stretch())-r.reach()
	y := g.PY
	if p.Circle > 0 {
		x1 = min(x1, 0.3*p.Circle/100) // 0.6 of the radius: so is y, and 0.85 of it is the corner
		y = min(y, 0.3*p.Circle/100)
	}
	return v.free(ground, "background", x0/v.stretch(), 0, x1/v.stretch(), y)
}

const (
	minCircle = 30 // per cent: smaller ones are lost among the rings
	maxCircle = 98
	// bigCircle passes between the rings of the default lattice.
	bigCircle = 87
)

func circleOption(p *float64) *Option {
	o := number("circle", p, 0, maxCircle, "% of the picture height", "diameter of the large circle in the middle; 0 for none")
	o.Range = fmt.Sprintf("0, or %v to %v %% of the picture height", minCircle, maxCircle)
	number := o.set
	o.set = func(s string) error {
		before := *p
		if err := number(s); err != nil {
			return err
		}
		if *p > 0 && *p < minCircle {
			*p = before
			return fmt.Errorf("%q is neither 0 nor within %v to %v %% of the picture height", s, minCircle, maxCircle)
		}
		return nil
	}
	return o
}

var circlesEntry = Entry{
	Name: "circles", Group: GroupGeometry,
	Use: "scan linearity: at the same lattice the crosshatch meets inside each ring; within the hole the error is under 1 % of the picture height, " +
		"within the rim under 2 %; the large circle shows roundness and aspect",
	Source:  "own design after the ball-chart method of judging scan linearity (common practice)",
	Example: "backporch render circles --aspect 16:9 -o circles.png",
	Still:   stillLines,
	New: func() (Pattern, []*Option) {
		p := &Circles{Down: 12, Inner: 1, Outer: 2, Circle: bigCircle, Width: lineWidth, Color: "white", Background: "black"}
		return p, append(append(latticeOptions(&p.Across, &p.Down),
			number("inner", &p.Inner, 0.5, 4, "% of the picture height", "radius of a ring's inner edge: the closer tolerance"),
			number("outer", &p.Outer, 1, 5, "% of the picture height", "radius of a ring's outer edge: the wider tolerance"),
			circleOption(&p.Circle),
			number("width", &p.Width, minLineWidth, maxLineWidth, "ns", "duration of the large circle's line at its left and right"),
		), inkOptions(&p.Color, &p.Background, "rings")...)
	},
}
