package cli

import (
	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/internal/render"
)

// A quantity is one column of readings: a figure of a level on a cable.
type quantity struct {
	name, unit, key string
	decimals        int
	of              func(l readings.Level) float64
	color           bool // has no meaning where there is no subcarrier
}

func millivolts(name, key string, of func(readings.Level) colorimetry.Millivolt) quantity {
	return quantity{name: name, unit: "mV", key: key + "_mv", decimals: 1, of: func(l readings.Level) float64 { return float64(of(l)) }}
}

func ires(name, key string, of func(readings.Level) colorimetry.Millivolt) quantity {
	return quantity{name: name, unit: "IRE", key: key + "_ire", decimals: 1, of: func(l readings.Level) float64 { return float64(of(l).IRE()) }}
}

// quantities lists what can be read on a wire, every level in each of its
// scales: IRE and mV of composite and Y/C on 525 lines, mV and for luma per cent
// of white on 625, else mV.
func quantities(w *composite.Wire) (list []quantity) {
	luma := func(l readings.Level) colorimetry.Millivolt { return l.Luma }
	switch w.Kind {
	case composite.RGB:
		return []quantity{
			millivolts("R", "r", func(l readings.Level) colorimetry.Millivolt { return l.R }),
			millivolts("G", "g", func(l readings.Level) colorimetry.Millivolt { return l.G }),
			millivolts("B", "b", func(l readings.Level) colorimetry.Millivolt { return l.B }),
		}
	case composite.YPbPr:
		return []quantity{
			millivolts("Y", "luma", luma),
			millivolts("PB", "pb", func(l readings.Level) colorimetry.Millivolt { return l.PB }),
			millivolts("PR", "pr", func(l readings.Level) colorimetry.Millivolt { return l.PR }),
		}
	}
	name, other := "Luma", "Chroma"
	if w.Kind == composite.YC {
		name, other = "Y", "C"
	}
	add := func(name, key string, of func(readings.Level) colorimetry.Millivolt) {
		if w.Family.Lines == 525 {
			list = append(list, ires(name, key, of))
		}
		list = append(list, millivolts(name, key, of))
	}
	add(name, "luma", luma)
	if w.Family.Lines == 625 {
		white := w.Family.White
		list = append(list, quantity{name: name, unit: "%", key: "luma_percent", decimals: 1, of: func(l readings.Level) float64 { return float64(100 * l.Luma / white) }})
	}
	add(other+" p-p", "chroma_pp", func(l readings.Level) colorimetry.Millivolt { return l.Chroma })
	if w.Kind == composite.Composite {
		add("Low", "low", func(l readings.Level) colorimetry.Millivolt { return l.Low })
		add("High", "high", func(l readings.Level) colorimetry.Millivolt { return l.High })
	}
	return append(list, angle)
}

// angle is the phase of the subcarrier.
var angle = quantity{name: "Angle", unit: "deg", key: "angle_deg", decimals: 2, color: true, of: func(l readings.Level) float64 { return l.Degrees }}

// tie sends figures that lie on a half in the last digit, such as 94.85, up on
// every machine.
const tie = 1e-9

// figure is a reading as a cell: nil where it has no meaning.
func (q quantity) figure(f *colorimetry.Family, s colorimetry.Signal) any {
	l := readings.On(f, s)
	if q.color && l.Chroma == 0 {
		return nil
	}
	return q.of(l) + tie
}

// A spot is one level of a patch: the patch itself, or one of its two ends.
type spot struct {
	readings.Reading
	end     string // "" or which of the two
	held    colorimetry.Signal
	rgb     [3]float64
	codes8  [3]uint16
	codes10 [3]uint16
	clipped bool
}

// spotsOf lists the levels of all patches: two of a ramp or of stripes.
func spotsOf(list []readings.Reading, job *render.Job) (spots []spot, err error) {
	for _, r := range list {
		near, far := r.Held != r.Patch.Want, r.HeldTo != r.Patch.To
		if job.Device != nil {
			// It shows its own nearest color, also of what it could reach.
			if r.Held, r.RGB, err = shown(job, r.Patch.Want); err != nil {
				return nil, err
			}
			if r.HeldTo, r.ToRGB, err = shown(job, r.Patch.To); err != nil {
				return nil, err
			}
		}
		word, two := r.Ends()
		ends := [2]string{"high", "low"}
		switch {
		case !two:
			ends[0] = ""
		case word == " to ":
			ends = [2]string{"from", "to"}
		case r.Patch.Want.Y < r.Patch.To.Y:
			ends = [2]string{"low", "high"}
		}
		spots = append(spots, spot{r, ends[0], r.Held, r.RGB, r.Codes8, r.Codes10, near})
		if two {
			spots = append(spots, spot{r, ends[1], r.HeldTo, r.ToRGB, r.To8, r.To10, far})
		}
	}
	return spots, nil
}

// shown is what the device of a job shows where s is wanted, and its R'G'B' in
// per cent.
func shown(job *render.Job, s colorimetry.Signal) (held colorimetry.Signal, rgb [3]float64, err error) {
	held, err = job.Held(s)
	r, g, b := held.RGB()
	return held, [3]float64{100 * r, 100 * g, 100 * b}, err
}

// name is the patch as people read it.
func (s spot) name() string {
	name := s.Patch.Name
	if s.end != "" {
		name += ", " + s.end
	}
	switch {
	case s.Patch.Absent != "":
		name += " (absent)" // these are the levels of what stands in its place
	case s.clipped:
		name += " (clipped)"
	}
	return name
}
