package geometry

import (
	"fmt"
	"math"
)

// CentralRadius is the radius of the central circle in picture heights: the
// circle that touches the upper and lower edge of the picture.
const CentralRadius = 0.5

// trueRaster lays the best true raster over the readings, free in place, width
// and height but neither turned nor bent, and measures how far each point lies
// from it. Points that are no more than what the raster is free in lie on it
// whatever they are: they say nothing of how far one is off.
func (f *Fit) trueRaster(points []Point, s Screen) {
	var place, slope [2]float64
	var tells [2]bool
	for _, c := range []channel{across, down} {
		place[c], slope[c], tells[c] = straight(points, c)
	}
	worst := [2]Term{
		{Key: "worst-inside", Name: "Farthest point, central circle", Unit: unitHeight,
			Means: "distance of the farthest crossing from its place in the best true raster (free in place, width and height), within half a picture height of the middle"},
		{Key: "worst-outside", Name: "Farthest point, outside the circle", Unit: unitHeight,
			Means: "distance of the farthest crossing from its place in the best true raster, outside the central circle"},
	}
	for _, p := range points {
		r := Residual{X: p.X, Y: p.Y}
		if math.IsNaN(p.Across) && math.IsNaN(p.Down) {
			continue
		}
		if !math.IsNaN(p.Across) {
			r.Right = p.Across - place[across] - float64(slope[across]*p.X)
		}
		if !math.IsNaN(p.Down) {
			r.Down = p.Down - place[down] - float64(slope[down]*p.Y)
		}
		f.Residuals = append(f.Residuals, r)
		t := &worst[0]
		if math.Hypot(p.X, p.Y) > CentralRadius+1e-9 {
			t = &worst[1]
		}
		if told := tells[across] && !math.IsNaN(p.Across) || tells[down] && !math.IsNaN(p.Down); !told {
			t.Few = !t.Known
			continue
		}
		off := 100 * r.Length() / f.PictureMM
		t.Known, t.Few, t.Sigma = true, false, 100*s.Error/f.PictureMM
		t.Value = math.Max(t.Value, off)
		f.Worst = math.Max(f.Worst, off)
	}
	f.Terms = append(f.Terms, worst[0], worst[1])
}

// straight is the best straight line of the readings of a channel over the
// place where they should lie; tells reports that there are more of them than
// what the line is free in.
func straight(points []Point, c channel) (place, slope float64, tells bool) {
	var n, mx, my, xx, xy float64
	at := func(p Point) float64 { return p.along(c) }
	for _, p := range points {
		if v := p.read(c); !math.IsNaN(v) {
			n, mx, my = n+1, mx+at(p), my+v
		}
	}
	if n == 0 {
		return 0, 0, false
	}
	mx, my = mx/n, my/n
	for _, p := range points {
		if v := p.read(c); !math.IsNaN(v) {
			xx += float64((at(p) - mx) * (at(p) - mx))
			xy += float64((at(p) - mx) * (v - my))
		}
	}
	if xx < 1e-6 { // one line alone: its place is all that is free
		return my, 0, n > 1
	}
	slope = xy / xx
	return my - float64(slope*mx), slope, n > 2
}

// remark says what a person should know before trusting the numbers.
func (f *Fit) remark(m *model, points []Point, s Screen) {
	if !m.has(down, power{0, 1}) {
		if m.has(across, power{1, 0}) {
			f.Notes = append(f.Notes, "The height was not read: per cents count from the fitted width over the shape of the picture.")
		} else {
			f.Notes = append(f.Notes, "Neither width nor height can be told from these points: per cents count from the height of the screen.")
		}
	}
	for _, d := range []struct {
		c        channel
		lin, cub power
		what     string
	}{{across, power{1, 0}, power{3, 0}, "Width and overscan at the sides"}, {down, power{0, 1}, power{0, 3}, "Height and overscan at top and bottom"}} {
		if m.has(d.c, d.lin) && !m.has(d.c, d.cub) {
			f.Notes = append(f.Notes, d.what+" take the lines for free of S-distortion: read at least four lines of unlike distance from the middle to tell it.")
		}
	}
	for _, d := range []struct{ key, lines string }{{"width-screen", "columns"}, {"height-screen", "rows"}} {
		if t := f.Term(d.key); t.Known && (t.Value > 125 || t.Value < 60) {
			f.Notes = append(f.Notes, fmt.Sprintf("A picture of %.0f %% of the screen is hardly what the set shows: compare the numbers of the %s, and the pattern that was read, with the screen.", t.Value, d.lines))
		}
	}
	f.fewNote()
	for _, c := range []channel{across, down} {
		f.suspects(m, c, points, s)
	}
	if f.RMS > 2*s.Error {
		f.Notes = append(f.Notes, fmt.Sprintf("What the terms leave (%.1f mm) is more than a reading error of %.1f mm: the picture is bent in a way that they do not hold, or a reading is wrong.", f.RMS, s.Error))
	}
	for _, t := range f.Terms {
		if t.Known && t.Service && math.Abs(t.Value) > 3*t.Sigma && math.Abs(t.Value) > 0.5 {
			f.Notes = append(f.Notes, "Where the remedy is the yoke, a magnet or the S-correction capacitor, it is service work inside the set, near high voltage: switched off, unplugged and discharged, or by somebody trained for it.")
			break
		}
	}
}

// fewNote says what is to be read where no point says how far one is off.
func (f *Fit) fewNote() {
	in, out := f.Term("worst-inside"), f.Term("worst-outside")
	if !in.Few && !out.Few {
		return
	}
	const more = "read three or more columns across or three or more rows down, best the crossings of the worksheet."
	if in.Known || out.Known {
		f.Notes = append(f.Notes, "How far the farthest point is off can be told on one side of the central circle alone: "+more)
		return
	}
	f.Notes = append(f.Notes, "How far the farthest point is off cannot be told: a true raster can be laid through so few points whatever they are; "+more)
}

// suspects names readings that lie far from what the others say of them.
func (f *Fit) suspects(m *model, c channel, points []Point, s Screen) {
	fit := m.fit[c]
	worst, most := -1, 0.0
	for i, left := range fit.left {
		free := 1 - fit.leverage(i)
		if free < 0.1 {
			continue
		}
		if without := math.Abs(left) / free; without > 6*s.Error/math.Sqrt(free) && without > most {
			worst, most = i, without
		}
	}
	if worst < 0 {
		return
	}
	p := points[m.where[c][worst]]
	name := "across"
	if c == down {
		name = "down"
	}
	f.Notes = append(f.Notes, fmt.Sprintf("Read %g mm %s at %.2f, %.2f picture heights again: it lies %.1f mm from what the other points say.", p.read(c), name, p.X, p.Y, most))
}
