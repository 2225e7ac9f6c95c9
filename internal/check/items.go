package check

import (
	"math"
	"strings"

	"backporch/internal/measure"
	"backporch/internal/table"
)

// An Item is one quantity against its tolerance.
type Item struct {
	Quantity Quantity
	Value    float64 // in the unit of its limit; of a cut 1: it is cut
	Sigma    float64 // standard deviation; 0: not known
	AtLeast  bool    // the value is a bound: it may be more
	Out      bool    // of tolerance
	Note     string
}

// items measures everything that a class speaks of and that the capture shows.
func (r *Report) items() (list []Item) {
	limits := Limits()
	add := func(q Quantity, v, sigma float64, note string) {
		if !math.IsNaN(v) {
			list = append(list, Item{Quantity: q, Value: v, Sigma: sigma, Out: limits[q].exceeds(r.Class, v), Note: note})
		}
	}
	if !r.placed() {
		return nil
	}
	l := &r.Levels
	if l.LumaKnown {
		add(Black, 100*l.Black, 100*math.Hypot(l.SigmaBlack, r.left(0)), "")
		add(White, 100*(l.Black+l.Gain-1), 100*math.Hypot(l.SigmaWhite, r.left(1)), "")
		add(Steps, 100*l.Bent, 0, "worst: "+l.BentAt)
	}
	if l.ChromaKnown {
		gain := l.ChromaGain()
		note := ""
		if l.LumaKnown {
			gain /= l.Gain
			note = "besides the gain of luma"
		}
		sigma, turn := l.SigmaChroma/math.Sqrt2, 0.0
		if c := r.Via.Calibration; c != nil && c.Chroma != nil {
			g, s := c.ChromaGain()
			sigma = math.Hypot(sigma, s/g)
		}
		turn = sigma / l.ChromaGain() * 180 / math.Pi
		add(ChromaGain, 100*(gain-1), 100*sigma, note)
		add(ChromaPhase, l.Phase(), turn, "")
	}
	if worst, name := r.worst(); name != "" {
		add(Difference, worst, 0, "worst: "+name)
	}
	if n, ok := r.noise(); ok {
		note := "over the frames"
		if r.Request.Picture.Frames < 2 {
			note = "within a patch, of one frame"
		}
		add(Noise, 100*n, 0, note)
	}
	list = append(list, r.responses(limits)...)
	list = append(list, r.places(limits)...)
	return append(list, r.cuts()...)
}

// left is the standard deviation that a calibration leaves in luma.
func (r *Report) left(y float64) float64 {
	if c := r.Via.Calibration; c != nil {
		return c.SigmaLuma(y)
	}
	return 0
}

// worst is the patch whose color is furthest off.
func (r *Report) worst() (most float64, name string) {
	for i := range r.Result.Patches {
		p := &r.Result.Patches[i]
		if d, ok := r.Difference(p); ok && (d > most || name == "") {
			most, name = d, p.Name
		}
	}
	return most, name
}

// responses are the items of detail.
func (r *Report) responses(limits [numQuantities]Limit) (list []Item) {
	own := func(q Quantity) *float64 { // of the capture device
		if c := r.Via.Calibration; c != nil {
			return map[Quantity]*float64{Bandwidth: c.Bandwidth, ChromaBandwidth: c.ChromaBandwidth}[q]
		}
		return nil
	}
	for q, of := range map[Quantity][]measure.Response{Bandwidth: r.Result.Luma, ChromaBandwidth: r.Result.Chroma} {
		if len(of) == 0 {
			continue
		}
		mhz, bound := ends(of)
		i := Item{Quantity: q, Value: mhz, AtLeast: bound, Out: !bound && limits[q].exceeds(r.Class, mhz)}
		if device := own(q); device != nil && mhz > 0.85**device {
			i.Out = false
			i.AtLeast = true
			i.Note = "the capture device itself ends there"
		} else if bound {
			i.Note = "the pattern has no finer detail"
		}
		list = append(list, i)
	}
	if len(list) == 2 && list[0].Quantity > list[1].Quantity {
		list[0], list[1] = list[1], list[0]
	}
	if n := len(r.Result.Luma); n > 0 {
		most := 0.0
		for _, p := range r.Result.Luma {
			if p.Sigma < 0.1 {
				most = max(most, p.Gain-1-p.Sigma)
			}
		}
		list = append(list, Item{Quantity: Sharpening, Value: 100 * most, Out: limits[Sharpening].exceeds(r.Class, 100*most)})
	}
	for i := range r.Result.Findings {
		if f := &r.Result.Findings[i]; f.Fault == measure.ChromaLate && f.Confidence >= 0.5 {
			list = append(list, Item{Quantity: ChromaDelay, Value: f.Value, Sigma: f.Sigma, Out: limits[ChromaDelay].exceeds(r.Class, f.Value)})
		}
	}
	return list
}

// ends is where a response has fallen by 3 dB for good; bound: it has not.
func ends(of []measure.Response) (mhz float64, bound bool) {
	const down3dB = 0.70795 // 10^(-3/20)
	for i := len(of) - 1; i >= 0; i-- {
		if of[i].Gain < down3dB {
			continue
		}
		if i == len(of)-1 {
			return of[i].MHz, true
		}
		a, b := of[i], of[i+1]
		return a.MHz + (b.MHz-a.MHz)*(a.Gain-down3dB)/(a.Gain-b.Gain), false
	}
	return of[0].MHz, false
}

// places are the items of geometry.
func (r *Report) places(limits [numQuantities]Limit) (list []Item) {
	at := r.Result.Place
	right, down := r.shift()
	_, _, wider, higher := at.Against(r.Result.Nominal)
	if !r.exact() {
		return nil
	}
	if at.XKnown && at.YKnown {
		v := 100 * ((1+wider)/(1+higher) - 1)
		list = append(list, Item{Quantity: PixelShape, Value: v, Out: limits[PixelShape].exceeds(r.Class, v)})
	}
	if at.XKnown {
		v := r.microseconds(right)
		list = append(list, Item{Quantity: Shift, Value: v, Sigma: r.microseconds(at.SigmaX), Out: limits[Shift].exceeds(r.Class, v), Note: "to the right"})
	}
	if at.YKnown {
		list = append(list, Item{Quantity: ShiftRows, Value: down, Sigma: at.SigmaY, Out: limits[ShiftRows].exceeds(r.Class, down), Note: "down"})
	}
	return list
}

// cuts are levels beyond black and white: those which the pattern has.
func (r *Report) cuts() (list []Item) {
	limits := Limits()
	below, above := false, false
	for i := range r.Result.Patches {
		p := &r.Result.Patches[i]
		if !p.Measured() {
			continue
		}
		below = below || min(p.Expect.Y, p.ExpectTo.Y) < -0.01
		above = above || max(p.Expect.Y, p.ExpectTo.Y) > 1.01
	}
	for _, c := range []struct {
		has bool
		q   Quantity
		f   measure.Fault
	}{{below, BelowBlack, measure.BelowBlackCut}, {above, AboveWhite, measure.AboveWhiteCut}} {
		if f := r.finding(c.f); c.has || f != nil && f.Confidence >= 0.5 {
			i := Item{Quantity: c.q}
			if f != nil && f.Confidence >= 0.5 {
				i.Value = 1
				i.Out = limits[c.q].exceeds(r.Class, 1)
			}
			list = append(list, i)
		}
	}
	return list
}

// finding returns the finding of a fault, or nil.
func (r *Report) finding(f measure.Fault) *measure.Finding {
	for i := range r.Result.Findings {
		if r.Result.Findings[i].Fault == f {
			return &r.Result.Findings[i]
		}
	}
	return nil
}

// itemTable is the items for people; where the tolerances come from is in the
// table of classes.
func (r *Report) itemTable() *table.Table {
	t := &table.Table{Name: "tolerances", Title: "Against the tolerances of class " + r.Class.String(), Columns: []table.Column{
		{Name: "Quantity"}, {Name: "Measured", Align: table.Right}, {Name: "Tolerance", Align: table.Right}, {Name: "Result"}, {Name: "Remark"}}}
	limits := Limits()
	for _, i := range r.Items {
		l := limits[i.Quantity]
		result := "within"
		switch {
		case i.Out:
			result = "OUT"
		case i.AtLeast && l.Least && i.Value < l.Max[r.Class]:
			result = "not shown"
		case math.IsInf(l.Max[r.Class], 1):
			result = "-"
		}
		t.Add(strings.TrimSpace(l.Name), i.text(&l), l.text(i.Quantity, r.Class), result, i.Note)
	}
	return t
}
