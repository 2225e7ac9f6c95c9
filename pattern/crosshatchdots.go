package pattern

// CrosshatchDots is a lattice of lines with a round dot in each cell.
type CrosshatchDots struct {
	Across, Down int     // cells, even; Across 0 makes them square
	Width        float64 // of upright lines, ns between half amplitudes
	Size         float64 // of dots, per cent of the picture height
	Color        string
	Background   string
}

// Scene implements Pattern.
func (p *CrosshatchDots) Scene(v View) (*Scene, error) {
	g, err := v.lattice(p.Across, p.Down)
	if err != nil {
		return nil, err
	}
	if err := v.fits(g, p.Width); err != nil {
		return nil, err
	}
	dot := v.dot(p.Size)
	// A quarter of a cell is left to the lines on either side.
	if err := v.roomy(g, dot, 0.5); err != nil {
		return nil, err
	}
	color, ground, err := v.inks(p.Color, p.Background)
	if err != nil {
		return nil, err
	}
	tiles, places := v.crosshatchTiles(g, p.Width, color)
	all := v.rings(dot, g.columnMiddles(), g.rowMiddles(), color, ground)
	patches := v.linePatches(g, p.Width, color)
	// The strip of a cell above its dot.
	_, x0 := v.upright(0, v.ns(p.Width))
	x1, _ := v.upright(g.PX, v.ns(p.Width))
	_, y0 := v.level(0)
	patches = append(patches, v.free(ground, "background", x0, y0, x1, g.PY/2-dot.reach())...)
	w := dot.Out / v.stretch()
	patches = append(patches, color.patch("dot right of and below the middle", Line,
		g.PX/2-w, g.PY/2-dot.Out, g.PX/2+w, g.PY/2+dot.Out))
	s := still(withRings(v.tileBands(ground.Signal, tiles), v.Shown.Span(0).DY, all), patches...)
	s.Notes = append(v.outside("grid line", places), v.outside("dot", all.places())...)
	return s, nil
}

var crosshatchDotsEntry = Entry{
	Name: "crosshatch-dots", Group: GroupGeometry,
	Use:     "static and dynamic convergence in one picture: the lines of the crosshatch, a round dot in the middle of each cell",
	Source:  "own design; lines sin-squared, dots raised-cosine along the radius",
	Example: "backporch render crosshatch-dots --down 8 -o crosshatch-dots.png",
	Still:   stillLines,
	New: func() (Pattern, []*Option) {
		p := &CrosshatchDots{Down: 12, Width: lineWidth, Size: dotSize, Color: "white", Background: "black"}
		options := append(latticeOptions(&p.Across, &p.Down), widthOption(&p.Width), sizeOption(&p.Size))
		return p, append(options, inkOptions(&p.Color, &p.Background, "lines and dots")...)
	},
}
