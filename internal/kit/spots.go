package kit

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/internal/readings"
	"backporch/internal/render"
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
		if s.file, err = r.shows(picture, p.Want); err != nil {
			return nil, "", err
		}
		if s.to, err = r.shows(picture, p.To); err != nil {
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

// shows returns the R'G'B' codes of a picture where a signal is wanted.
func (r *run) shows(job *render.Job, s colorimetry.Signal) ([3]uint16, error) {
	if !job.Pixels() {
		return colorimetry.RGB8.Codes(r.Plan.Map(s)), nil
	}
	held, err := job.Held(s)
	if err != nil {
		return [3]uint16{}, err
	}
	x, err := job.Indexed(0)
	if err != nil {
		return [3]uint16{}, err
	}
	c, least := [3]uint16{}, math.Inf(1)
	want := r.Plan.Map(held)
	take := func(rgb [3]uint8, is colorimetry.Signal) {
		if off := math.Abs(is.Y-want.Y) + math.Abs(is.CB-want.CB) + math.Abs(is.CR-want.CR); off < least {
			least, c = off, [3]uint16{uint16(rgb[0]), uint16(rgb[1]), uint16(rgb[2])}
		}
	}
	fixed := job.Device.Color.Fixed
	for _, ink := range fixed {
		take(ink.RGB, ink.Signal)
	}
	if len(fixed) == 0 {
		one := *x
		for _, rgb := range x.Palette {
			one.Palette = [][3]uint8{rgb}
			take(rgb, job.Device.Shown(&one, want)) // of one color there is no other
		}
	}
	return c, nil
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
