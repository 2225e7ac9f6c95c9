package kit

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/internal/readings"
)

// A spot is a named patch, with all that is said of it.
type spot struct {
	readings.Reading
	wire       *colorimetry.Family // the first of those that readings are given for
	file, to   [3]uint16           // codes of the picture, as R'G'B', and at the far end
	held       [2]colorimetry.Signal
	deviations [2]*deviation // of what a device emits; nil without one, and where nothing is flat
	device     bool
}

// spots reads the patches of an item. merge says which colors a device had no
// room for.
func (r *run) spots(l laidOut) (list []spot, merge string, err error) {
	picture, word := l.page, l.words
	if !samePatches(picture.Scene, word.Scene) {
		return nil, "", fmt.Errorf("%s: picture and video differ in their patches", l.Spec)
	}
	off, merge, err := honesty(word)
	if err != nil {
		return nil, "", err
	}
	for i, x := range readings.Of(word.Scene, word.View, r.Plan) {
		p := picture.Scene.Patches[i]
		s := spot{Reading: x, wire: r.wires()[0], held: [2]colorimetry.Signal{x.Held, x.HeldTo}, deviations: off[i], device: r.Device != nil}
		if s.file, err = picture.RGB8(p.Want); err != nil {
			return nil, "", err
		}
		if s.to, err = picture.RGB8(p.To); err != nil {
			return nil, "", err
		}
		for k, want := range [2]colorimetry.Signal{x.Patch.Want, x.Patch.To} {
			switch {
			case off[i][k] != nil:
				s.held[k] = off[i][k].Got
			case r.Device == nil:
			default:
				if s.held[k], err = word.Held(want); err != nil {
					return nil, "", err
				}
			}
		}
		list = append(list, s)
	}
	return list, merge, nil
}

// beyond reports whether the device shows the patch beyond the limits.
func (s *spot) beyond() bool {
	for _, d := range s.deviations {
		if d != nil && d.Beyond() {
			return true
		}
	}
	return false
}

// wires are the levels that readings are given for: those wanted, or of the
// player; where nothing is known, all that the system has.
func (r *run) wires() []*colorimetry.Family {
	switch {
	case r.Plan.Wire != nil:
		return []*colorimetry.Family{r.Plan.Wire}
	case r.Plan.Player != nil:
		return []*colorimetry.Family{r.Plan.Player}
	case r.Raster.Scan.System.Lines() == 625:
		return []*colorimetry.Family{colorimetry.PAL}
	}
	return []*colorimetry.Family{colorimetry.CompositeM, colorimetry.CompositeJ}
}
