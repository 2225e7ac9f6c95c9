package render

import (
	"cmp"
	"fmt"
	"slices"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// checkDevice reports whether the device can play what is asked for.
func (q *Request) checkDevice() error {
	d := q.Device
	if _, err := d.Raster(q.Raster.Name); err != nil {
		return err
	}
	if err := q.readable(); err != nil {
		return err
	}
	if d.Pixels() && q.Format.Coding != d.Coding {
		return fmt.Errorf("device %s reads %s, and this file would hold %s; leave depth and range as they are", d.Name, d.Coding.Name, q.Format.Coding.Name)
	}
	if p := q.Plan.Player; p != nil && !slices.Contains(d.Outputs, p) {
		panic("render: the plan's player is not the device") // whoever makes the request sets it
	}
	return nil
}

// ideal reports whether nothing is known that plays the file: then the wire
// carries the definition itself.
func (j *Job) ideal() bool { return j.Plan.Player == nil && j.Device == nil }

// Pixels reports whether the file is one of colors chosen for a device.
func (j *Job) Pixels() bool { return j.Device != nil && j.Device.Pixels() }

// still reports whether the device makes Y'CbCr of an R'G'B' picture.
func (j *Job) still() bool { return j.Format.Coding.Model == colorimetry.RGB }

// Indexed returns frame n in the colors of the device, as its file holds it.
// It panics unless the job has Pixels.
func (j *Job) Indexed(n int) (*pixfmt.Indexed, error) {
	x, _, err := j.quantized(n)
	return x, err
}

// Merge says what became of colors for which the device had no room, in the
// first frame; nil where it is not a matter of colors.
func (j *Job) Merge() (*device.Merge, error) {
	if !j.Pixels() {
		return nil, nil
	}
	_, merge, err := j.quantized(j.First)
	return merge, err
}

// quantized chooses the colors of frame n, and keeps them until another frame
// is asked for.
func (j *Job) quantized(n int) (*pixfmt.Indexed, *device.Merge, error) {
	n %= max(1, j.Scene.Period)
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.shown != nil && j.shownFrame == n {
		return j.shown, j.merge, nil
	}
	f, err := j.Frame(n)
	if err != nil {
		return nil, nil, err
	}
	x, merge, err := j.Device.QuantizeScene(f, device.Options{Wire: j.Plan.Player, Patches: j.Scene.Patches, Plan: j.Plan, Dither: j.Dither})
	if err != nil {
		return nil, nil, err
	}
	j.shown, j.shownFrame, j.merge = x, n, merge
	return x, merge, nil
}

// Honesty says what the device really emits of the levels of the first frame. It panics
// unless the job has a device.
func (j *Job) Honesty() (*device.Report, error) {
	if !j.Pixels() {
		return j.Device.Honesty(j.Scene, j.View, j.Plan, nil)
	}
	x, merge, err := j.quantized(j.First)
	if err != nil {
		return nil, err
	}
	r, err := j.Device.Honesty(j.Scene, j.View, j.Plan, x)
	if err != nil {
		return nil, err
	}
	r.Merge = merge
	return r, nil
}

// emitted is what the device makes of its picture on a lattice, in units of
// the wanted family.
func (j *Job) emitted(r *timing.Raster, n int) (*frame.Frame, error) {
	x, err := j.Indexed(n)
	if err != nil {
		return nil, err
	}
	f := j.Device.Emit(x, j.Raster, r)
	if !j.Plan.Plain() {
		for c := range f.Planes {
			for _, row := range f.Planes[c].Rows {
				j.Plan.EmitRow(colorimetry.Component(c), row)
			}
		}
	}
	return f, nil
}

// Held returns what the wire carries of a flat area of s, in units of the
// wanted family: s itself while no player is known, what a player makes of the
// nearest code of the file, or of the nearest color that a device shows in
// the first frame.
func (j *Job) Held(s colorimetry.Signal) (colorimetry.Signal, error) {
	if j.ideal() {
		return s, nil
	}
	f, _ := j.Plan.File(s, j.Format.Coding) // the nearest where it is out of reach
	switch {
	case j.Pixels():
		var err error
		if _, f, err = j.shows(f); err != nil {
			return s, err
		}
	case j.Device != nil:
		f = j.Device.Plays(f, j.still())
	}
	return j.Plan.Emit(f), nil
}

// shows returns the color of the first frame that is nearest to a signal of the
// file, as the file and as the output has it. It panics unless the job has
// Pixels.
func (j *Job) shows(f colorimetry.Signal) (rgb [3]uint8, emitted colorimetry.Signal, err error) {
	x, err := j.Indexed(j.First)
	if err != nil {
		return rgb, f, err
	}
	i, emitted := j.Device.IndexOn(x, f, cmp.Or(j.Plan.Player, j.Device.Outputs[0]))
	return x.Palette[i], emitted, nil
}

// RGB8 returns the codes that a picture file of 8 bits has where s is wanted, in
// full-range R'G'B'.
func (j *Job) RGB8(s colorimetry.Signal) (c [3]uint16, err error) {
	if !j.Pixels() {
		return colorimetry.RGB8.Codes(j.Plan.Map(s)), nil
	}
	f, _ := j.Plan.File(s, j.Format.Coding) // the nearest where it is out of reach
	rgb, _, err := j.shows(f)
	return [3]uint16{uint16(rgb[0]), uint16(rgb[1]), uint16(rgb[2])}, err
}

// dropped returns the patches that the device loses though its file holds them.
func (j *Job) dropped() (list LostList) {
	if j.Device == nil || j.Device.SubBlack || j.Pixels() {
		return nil
	}
	for _, p := range j.Scene.Patches {
		for _, s := range []colorimetry.Signal{p.Want, p.To} {
			if y := j.Plan.Map(s).Y; y < -beyond || y > 1+beyond {
				list = append(list, Lost{p, true, fmt.Sprintf("%s drops codes below black and above white", j.Device.Name)})
				break
			}
		}
	}
	return list
}

// beyond is how far past black or white a level counts as such: half a code of
// 8 bits.
const beyond = 0.5 / 219

// plays returns what the decoder of a video player makes of a sample.
func (j *Job) plays(s colorimetry.Signal) colorimetry.Signal {
	if j.Device == nil {
		return s
	}
	return j.Device.Plays(s, j.still())
}
