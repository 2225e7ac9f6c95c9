package pattern

import "fmt"

// Dots is a round dot at every crossing of a lattice.
type Dots struct {
	Across, Down int     // cells, even; Across 0 makes them square
	Size         float64 // diameter between half amplitudes, per cent of the picture height
	Color        string
	Background   string
}

// dot returns a dot of that diameter in per cent of the picture height: a
// raised cosine along the radius from the center on, p(r) = (1 + cos(pi
// r/D))/2, not narrower than the view's edges can show. With hard edges it is
// a disc.
func (v View) dot(size float64) ring {
	d := size / 100
	r := ring{Out: d / 2}
	for c, e := range v.Edge {
		if e > 0 {
			r.Edge[c] = max(d, float64(e*v.stretch())/2)
		}
	}
	return r
}

// roomy reports dots whose skirts take more than that share of a cell.
func (v View) roomy(g lattice, dot ring, share float64) error {
	if cell := min(g.PX*v.stretch(), g.PY); 2*dot.reach() > share*cell {
		return fmt.Errorf("size: dots of %.3g %% fill cells of %.3g %% of the picture height; use smaller dots or fewer cells", 200*dot.Out, 100*cell)
	}
	return nil
}

// Scene implements Pattern.
func (p *Dots) Scene(v View) (*Scene, error) {
	g, err := v.lattice(p.Across, p.Down)
	if err != nil {
		return nil, err
	}
	dot := v.dot(p.Size)
	if err := v.roomy(g, dot, 0.75); err != nil {
		return nil, err
	}
	color, ground, err := v.inks(p.Color, p.Background)
	if err != nil {
		return nil, err
	}
	all := v.rings(dot, g.columns(), g.rows(), color, ground)
	s := still(withRings([]Band{plain(ground)}, v.Shown.Span(0).DY, all), v.roundPatches(g, "dot in the middle", dot, color, ground)...)
	s.Notes = v.outside("dot", all.places())
	return s, nil
}

// roundPatches names the dot or disc at the center and the free strip of
// background right of it.
func (v View) roundPatches(g lattice, name string, r ring, color, ground ink) []Patch {
	w, far := r.Out/v.stretch(), r.reach()
	patches := []Patch{color.patch(name, Line, -w, -r.Out, w, r.Out)}
	return append(patches, v.free(ground, "background", far/v.stretch(), 0, g.PX-far/v.stretch(), g.PY)...)
}

const dotSize = 0.9 // per cent: about 1.75 times the width of a crosshatch line

func sizeOption(p *float64) *Option {
	return number("size", p, 0.6, 2, "% of the picture height", "diameter of a dot between half amplitudes")
}

var dotsEntry = Entry{
	Name: "dots", Group: GroupGeometry,
	Use:     "static convergence and focus: a round dot at every crossing of the crosshatch",
	Source:  "own design; dots raised-cosine along the radius",
	Example: "backporch render dots --color yellow -o dots.png",
	Still:   stillLines,
	New: func() (Pattern, []*Option) {
		p := &Dots{Down: 12, Size: dotSize, Color: "white", Background: "black"}
		options := append(latticeOptions(&p.Across, &p.Down), sizeOption(&p.Size))
		return p, append(options, inkOptions(&p.Color, &p.Background, "dots")...)
	},
}
