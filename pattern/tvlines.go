package pattern

import (
	"fmt"
	"math"
	"strconv"

	"backporch/colorimetry"
	"backporch/timing"
)

// TVLines is groups and wedges of lines marked in TV lines: light plus dark
// lines within a length of one picture height.
type TVLines struct {
	Most      int     // TV lines of the finest group; 0 is what the raster holds
	Amplitude float64 // per cent of white, peak to peak, about 50 %
}

// Limits of TV lines, and how many groups stand side by side at most.
const (
	leastTVLines  = 100
	maxTVLines    = 1000
	mostTVGroups  = 9
	tvWedges      = 3
	wedgeGate     = 1.5 // of its rows, at either side of a wedge that lies
	tvStripGap    = 1.5 // field lines between a strip and its numerals
	tvGroupFilled = 0.7 // of a slot
)

// tvScale is the steps of one direction: the groups, of which those above
// Limit are absent.
type tvScale struct {
	Steps []int
	Limit float64 // TV lines
}

// held returns the steps within the limit.
func (s tvScale) held() []int {
	n := 0
	for n < len(s.Steps) && float64(s.Steps[n]) <= s.Limit*(1+1e-9) {
		n++
	}
	return s.Steps[:n]
}

// tvSteps divides TV lines from 100 up to most, or to the limit if that is 0,
// by 25 where they are few, else by 50, 100 or 200, so that the groups are not
// too many.
func tvSteps(limit float64, most int) tvScale {
	top := float64(most)
	if most == 0 {
		top = limit
	}
	for step := 25; ; step *= 2 {
		if step == 25 && top > 200 {
			continue
		}
		s := tvScale{Limit: limit}
		for n := leastTVLines; float64(n) <= top; n += step {
			s.Steps = append(s.Steps, n)
		}
		if len(s.Steps) <= mostTVGroups {
			return s
		}
	}
}

// tvLayout is the places of the strips: row edges, from top to bottom.
type tvLayout struct {
	upright, uprightWedge, lying, lyingWedge [2]float64
	uprightText, mhzText, lyingText          float64 // upper edges of the numerals
}

func (v View) tvLayout() tvLayout {
	e, line := v.Shown.Shown(), v.fieldLine()
	text := float64((numeralLines + 2*tvStripGap) * line)
	free := e.Y1 - e.Y0 - 3*text - 5*float64(tvStripGap*4*line)
	at := e.Y0 + 4*tvStripGap*line
	var l tvLayout
	strip := func(share float64) [2]float64 {
		top := v.Cut(at)
		bottom := v.Cut(at + float64(share*free))
		at = bottom
		return [2]float64{top, bottom}
	}
	label := func() float64 {
		y := at + tvStripGap*line
		at += text
		return y
	}
	gap := func() { at += 4 * tvStripGap * line }
	l.uprightText = label()
	l.upright = strip(0.17)
	l.mhzText = label()
	gap()
	l.uprightWedge = strip(0.33)
	gap()
	l.lyingText = label()
	l.lying = strip(0.2)
	gap()
	l.lyingWedge = strip(0.3)
	return l
}

// tvPicture collects what the strips show.
type tvPicture struct {
	v      View
	l      tvLayout
	perTVL float64 // cycles a picture height of a Comb, for one TV line
	peak   float64
	tiles  []tile // numerals and marks

	patches []Patch
	bands   []Band
}

// Scene implements Pattern.
func (p *TVLines) Scene(v View) (*Scene, error) {
	if p.Most != 0 && p.Most < leastTVLines {
		return nil, fmt.Errorf("most: %d TV lines are less than the coarsest group; use %d to %d, or 0", p.Most, leastTVLines, maxTVLines)
	}
	t := tvPicture{v: v, l: v.tvLayout(), peak: p.Amplitude / 200,
		// By the active line, so 0.1 % off the shape of a 525-line picture.
		perTVL: float64(v.Shown.Scan.System.Frequency(1, timing.R(4, 3)) * v.stretch() * v.perMHz())}
	rows, _ := v.rowLimit()
	across := tvSteps(v.limit()*v.perMHz()/t.perTVL, p.Most)
	down := tvSteps(2*rows, p.Most)
	groups, wedges := t.uprightGroups(across), t.uprightWedges(across)
	lying, sleepers := t.lyingGroups(down), t.lyingWedges(down)

	t.bands = v.tileBands(colorimetry.Gray(0.5), t.tiles)
	t.bands = overlay(t.bands, t.l.upright[0], t.l.upright[1], func(dst []float64, x timing.Comb) {
		for _, k := range groups {
			k.add(dst, x)
		}
	})
	overStrip(&t, t.l.uprightWedge, wedges)
	overStrip(&t, t.l.lying, lying)
	overStrip(&t, t.l.lyingWedge, sleepers)
	s := still(t.bands, t.patches...)
	line := v.fieldLine()
	for _, y := range [][2]float64{{t.l.uprightText, t.l.upright[0]}, {t.l.mhzText, t.l.mhzText + numeralLines*line}, t.l.uprightWedge, {t.l.lyingText, t.l.lying[0]}, t.l.lyingWedge} {
		s.keep = append(s.keep, timing.Extent{X0: -endless, Y0: y[0], X1: endless, Y1: y[1]})
	}
	s.Notes = v.tvNotes(across, down)
	return s, nil
}

// overStrip adds what changes from row to row to the bands of a strip.
func overStrip[T interface {
	add(dst []float64, x timing.Comb, y float64)
}](t *tvPicture, at [2]float64, list []T) {
	t.bands = overlayRows(t.bands, at[0], at[1], false, func(dst []float64, x timing.Comb, y timing.Span, _ int) {
		for _, w := range list {
			w.add(dst, x, y.Y)
		}
	})
}

// uprightGroups lays out a packet for each step, with its TV lines above and its
// MHz below it.
func (t *tvPicture) uprightGroups(across tvScale) (groups []packet) {
	v, l := t.v, t.l
	for i, n := range across.Steps {
		x0, x1 := v.tvSlot(i, len(across.Steps))
		mhz := float64(float64(n)*t.perTVL) / v.perMHz()
		cycles := max(1, int(math.Floor(float64((x1-x0)*tvGroupFilled*float64(n)*t.perTVL))))
		k := v.packet(0, mhz, cycles, t.peak)
		half := (k.X1 - k.X0) / 2
		k.X0, k.X1 = (x0+x1)/2-half, (x0+x1)/2+half
		q := k.patch(fmt.Sprintf("%d TV lines across", n), v, l.upright[0], l.upright[1], 0.5, mhz)
		t.patches = append(t.patches, q)
		if q.Absent != "" {
			continue
		}
		groups = append(groups, k)
		t.tiles = append(t.tiles, v.numeralAbout(strconv.Itoa(n), (x0+x1)/2, l.uprightText, white)...)
		t.tiles = append(t.tiles, v.numeralAbout(strconv.FormatFloat(mhz, 'f', 2, 64), (x0+x1)/2, l.mhzText, white)...)
	}
	return groups
}

// uprightWedges lays out wedges over the steps that the raster holds.
func (t *tvPicture) uprightWedges(across tvScale) (wedges []uprightWedge) {
	stretches := spans(across.held(), tvWedges)
	for i, s := range stretches {
		w, marks := t.v.uprightWedge(i, len(stretches), s, t.l.uprightWedge, t.perTVL, t.peak)
		wedges = append(wedges, w)
		t.tiles = append(t.tiles, marks...)
	}
	return wedges
}

// lyingGroups and lyingWedges are the same down the picture.
func (t *tvPicture) lyingGroups(down tvScale) (groups []lyingGroup) {
	v := t.v
	for i, n := range down.Steps {
		x0, x1 := v.tvSlot(i, len(down.Steps))
		margin := (x1 - x0) * (1 - tvGroupFilled) / 2
		g := v.lyingGroup(n, x0+margin, x1-margin, t.l.lying, t.peak)
		q := g.patch(v, n, down.Limit)
		t.patches = append(t.patches, q)
		if q.Absent != "" {
			continue
		}
		groups = append(groups, g)
		t.tiles = append(t.tiles, v.numeralAbout(strconv.Itoa(n), (x0+x1)/2, t.l.lyingText, white)...)
	}
	return groups
}

func (t *tvPicture) lyingWedges(down tvScale) (wedges []lyingWedge) {
	stretches := spans(down.held(), 2)
	for i, s := range stretches {
		w, marks := t.v.lyingWedge(i, len(stretches), s, t.l.lyingWedge, t.peak)
		wedges = append(wedges, w)
		t.tiles = append(t.tiles, marks...)
	}
	return wedges
}

// tvSlot returns the sides of slot i of n over the shown picture.
func (v View) tvSlot(i, n int) (x0, x1 float64) {
	const margin = 0.02
	w := (1 - 2*margin) / float64(n)
	return v.across(margin + float64(float64(i)*w)), v.across(margin + float64(float64(i+1)*w))
}

// spans divides steps into at most n wedges, each from one step to another;
// one begins where the one before ends.
func spans(steps []int, n int) (list [][]int) {
	parts := min(n, len(steps)-1)
	for i := range parts {
		a, b := i*(len(steps)-1)/parts, (i+1)*(len(steps)-1)/parts
		list = append(list, steps[a:b+1])
	}
	return list
}

func (v View) tvNotes(across, down tvScale) []string {
	notes := []string{
		fmt.Sprintf("Numbers are TV lines, light and dark ones counted, within a picture height of the tube; those below the groups are MHz. Lines are sines. The raster holds %.0f TV lines across (%s) and %.0f down (%d rows).",
			across.Limit, v.limitText(), down.Limit, v.Shown.Height()),
	}
	if v.Shown.Scan.Interlaced() {
		notes = append(notes, fmt.Sprintf("Lying lines above %.0f TV lines twitter: a field has half of the rows. %s", down.Limit/2, flicker))
	}
	return notes
}

var tvLinesEntries = []Entry{{
	Name: "tv-lines", Group: GroupDetail,
	Use:     "resolution of the set across and down, in TV lines: the finest group or place of a wedge whose lines are still told apart",
	Source:  "own design; TV lines by the active line (common practice), 52.8556 us of SMPTE 170M-2004 table 2 and 52 us of ITU-R BT.1700 (2005) Annex 1 Part B table 1",
	Example: "backporch render tv-lines --raster 576i -o tvlines.png",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &TVLines{Amplitude: 100}
		return p, []*Option{
			whole("most", &p.Most, 0, maxTVLines, "TV lines", "finest group; 0 for the finest that the raster holds"),
			number("amplitude", &p.Amplitude, 1, 100, "per cent", "height of the lines from trough to crest, of white"),
		}
	},
}}
