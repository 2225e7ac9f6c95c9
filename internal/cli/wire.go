package cli

import (
	"backporch/internal/composite"
	"backporch/internal/format"
	"backporch/internal/render"
	"backporch/pattern"
)

// onWire reads the flags for the signal of a pattern, where no file stands
// between. w is nil while neither wire nor player are known.
func (p *pictureFlags) onWire(pt pattern.Pattern) (v picture, w *composite.Wire, err error) {
	if v, err = p.read(pt, false); err != nil || v.Plan.Wire == nil {
		return v, nil, err
	}
	named := composite.Lookup(p.Wire)
	if named == nil {
		named = composite.Lookup(p.Player) // "" names none
	}
	for _, x := range composite.Wires() {
		// Composite and Y/C have the same levels; which of them it is, the name
		// says. A shorthand stands for composite.
		if x.Family == v.Plan.Wire && (named == nil || x.Kind == named.Kind) {
			return v, x, nil
		}
	}
	return v, composite.Lookup(v.Plan.Wire.Name), nil
}

// layoutOnWire lays a pattern out as a 10-bit file shows it, on the wire
// of the flags or else the usual one of the raster. Job.Carried then gives
// what the wire carries.
func (p *pictureFlags) layoutOnWire(pt pattern.Pattern, spec string) (*render.Job, *composite.Wire, error) {
	v, w, err := p.onWire(pt)
	if err != nil {
		return nil, nil, err
	}
	if w == nil {
		w = composite.Usual(v.Raster.Scan)
		v.Plan.Wire = w.Family
	}
	job, err := v.layout(pt, spec, w)
	return job, w, err
}

// layout lays a pattern out as the file of the device shows it, or without one
// as a 10-bit file does: a 4:2:2 one, and for RGB cables (w may be nil: not
// known) a 4:4:4 one, whose color is as fast as its luma, so that no primary
// overshoots in a transition.
func (v *picture) layout(pt pattern.Pattern, spec string, w *composite.Wire) (*render.Job, error) {
	choice := format.Choice{Name: "y4m", Depth: 10}
	if w != nil && w.Kind == composite.RGB {
		choice.Chroma = "444"
	}
	f, err := format.Resolve(choice)
	if v.Device != nil {
		f, err = deviceFormat(v.Device)
	}
	if err != nil {
		return nil, err
	}
	q := v.request(pt, spec, f)
	q.Clip = true
	job, err := q.Layout()
	if err != nil {
		return nil, &usageError{err: err}
	}
	return job, nil
}
