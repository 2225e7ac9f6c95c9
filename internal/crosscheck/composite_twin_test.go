package crosscheck

import (
	"math"
	"testing"

	"backporch/internal/composite"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The twin of the encoder writes the signal down sample by sample in float64:
// sines, raised cosines and sums, no rows, no caches, nothing shared.

// A wireTwin is the figures of a signal. Times in us, levels in mV.
type wireTwin struct {
	scan                     *timing.Scan
	mhz, start, fsc, h       float64
	white, black, sync       float64
	wide                     map[string]float64 // pulses
	syncEdge, pictureEdge    float64            // 10 to 90 %
	left, right              float64            // of the picture, after 0H and before the next
	burst, burstFrom, cycles float64
}

func wireTwinOf(wire string, s *timing.Scan) wireTwin {
	w := wireTwin{scan: s, fsc: fscOf(s), mhz: 4 * fscOf(s), start: startOf(composite.Lookup(wire), s)}
	w.h = s.Cycles.Float64() / w.fsc
	if s.System == timing.System525 {
		w.white, w.sync, w.burst = 100*ire, -40*ire, 20*ire
		if wire == "composite-m" || wire == "yc-m" {
			w.black = 7.5 * ire
		}
		// Within the tolerances of SMPTE 170M tables 2 and 3 as SMPTE 244M tables 4
		// and 5 realize them: 33, 67 and 388 samples, edges of 145.5 ns (calc).
		w.wide = map[string]float64{"EQ": 33 / w.mhz, "H": 67 / w.mhz, "BROAD": 388 / w.mhz}
		w.syncEdge, w.pictureEdge = 0.1455, 0.1455
		w.left, w.right, w.burstFrom, w.cycles = 9.2, 1.5, 19/w.fsc, 9
		return w
	}
	// ITU-R BT.1700 Annex 1 Part B tables 2 and 3.
	w.white, w.sync, w.burst = 700, -300, 150
	w.wide = map[string]float64{"EQ": 2.35, "H": 4.7, "BROAD": 27.3}
	w.syncEdge, w.pictureEdge = 0.2, 0.3
	w.left, w.right, w.burstFrom, w.cycles = 10.5, 1.5, 5.6, 10
	return w
}

// cosineWidth is the full width of a raised cosine by its rise from 10 to 90 %.
func cosineWidth(rise float64) float64 { return rise * math.Pi / 2 / math.Asin(0.8) }

// twinCarrier returns the subcarrier of a CB and of a CR of 1 at an instant, mV
// (with the gain of a wire without setup): U sin + V cos, V with its sign on
// that line of that frame.
func twinCarrier(s *timing.Scan, line, n int, degrees float64) [3]float64 {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	if s.System == timing.System525 {
		// The roots of SMPTE 170M clause A.3: yellow and cyan tops are 100 IRE.
		return [3]float64{0, 1.772 * 0.492111041122483 * 100 * ire * sin, 1.402 * 0.877283219938179 * 100 * ire * cos}
	}
	if ((n*s.Lines)+line)%2 == 0 {
		cos = -cos
	}
	return [3]float64{0, 1.772 * 0.493 * 700 * sin, 1.402 * 0.877 * 700 * cos}
}

// pulseKinds returns the pulses of a line and whether its halves show picture.
func (w *wireTwin) pulseKinds(t testing.TB, line int) (kinds [2]string, open [2]bool) {
	if !w.scan.Interlaced() {
		kinds = fieldPulses(w.scan, line)
		first, last := 21, 262
		if w.scan.System == timing.System625 {
			first, last = 23, 310
		}
		if line >= first && line <= last {
			open = [2]bool{true, true}
		}
		return kinds, open
	}
	return kinds, open
}

// burstAt returns whether a line has a burst, and the phase of it.
func (w *wireTwin) burstAt(n, line int) (bool, float64) {
	if w.scan.System == timing.System525 {
		return line > 9 && (!w.scan.Interlaced() || line < 264 || line > 272), 180
	}
	degrees := 135.0
	if (n*w.scan.Lines+line)%2 == 0 {
		degrees = -135
	}
	if w.scan.Interlaced() {
		gaps := map[string][2]int{"I": {-2, 6}, "II": {310, 318}, "III": {-3, 5}, "IV": {311, 319}}
		at := line
		if line > 400 {
			at -= 625
		}
		gap := gaps[bruch(n%4, line)]
		return at < gap[0] || at > gap[1], degrees
	}
	// Nine lines so that the first after them is +135, the vertical pulses among
	// them: the last of the field before, then to line 6 or 5.
	last := 6
	if n*w.scan.Lines%2 != 0 {
		last = 5
	}
	tail := 2 // of 312 lines 310 to 312, of 313 311 to 313 or 310 to 313
	if (n+1)*w.scan.Lines%2 != 0 {
		tail = 3
	}
	return line > last && line < w.scan.Lines-tail, degrees
}

// encode returns every stride-th sample of frame n, from sample n on; a stride
// of 11 meets every phase of the carrier, and other samples in each frame. value
// is the picture (Y, CB, CR before any filter) at sample k of the
// sequence; lines in dark have none. taps is the filter, whole.
func (w *wireTwin) encode(t testing.TB, n, stride int, taps []float64, value func(line int, us float64) color, dark func(line int) bool, ends map[int][2]float64) []float64 {
	type structure struct {
		kinds [2]string
		open  [2]bool
	}
	lines := make([]structure, w.scan.Lines+2)
	if w.scan.Interlaced() {
		for _, row := range linesOf(t, w.scan) {
			s := &lines[row.Int(t, "line")]
			s.kinds = [2]string{row.Text(t, "pulse_1st_half"), row.Text(t, "pulse_2nd_half")}
			shows := row.Text(t, "picture")
			s.open = [2]bool{shows == "full" || shows == "first half", shows == "full" || shows == "second half"}
		}
	} else {
		for line := 1; line <= w.scan.Lines; line++ {
			lines[line].kinds, lines[line].open = w.pulseKinds(t, line)
		}
	}
	edge := func(us, rise float64) float64 { return step(us, cosineWidth(rise)) }
	first := int(math.Ceil(float64(n*w.scan.Lines)*w.h*w.mhz - w.start - 1e-6))
	end := int(math.Ceil(float64((n+1)*w.scan.Lines)*w.h*w.mhz - w.start - 1e-6))
	gain := (w.white - w.black) / w.white
	half := len(taps) / 2
	out := make([]float64, 0, (end-first)/stride+1)
	for i := first + n%stride; i < end; i += stride {
		all := (float64(i) + w.start) / w.mhz
		line := int(math.Floor(all/w.h+1e-9)) - n*w.scan.Lines + 1
		us := all - float64(n*w.scan.Lines+line-1)*w.h
		s := lines[line]
		v := 0.0
		for k, kind := range s.kinds {
			if wide, ok := w.wide[kind]; ok {
				at := us - float64(k)*w.h/2
				v += w.sync * (edge(at, w.syncEdge) - edge(at-wide, w.syncEdge))
			}
		}
		v += w.sync * edge(us-w.h, w.syncEdge) // the next line begins
		degrees := 90 * math.Mod(float64(i)+w.start, 4)
		if has, phase := w.burstAt(n, line); has {
			at := us - w.burstFrom
			v += w.burst * (edge(at, 0.3) - edge(at-w.cycles/w.fsc, 0.3)) * math.Sin((degrees+phase)*math.Pi/180)
		}
		if s.open[0] || s.open[1] {
			from, to := w.left, w.h-w.right
			if !s.open[0] {
				from += w.h / 2
			}
			if !s.open[1] {
				to -= w.h / 2
			}
			if gate := edge(us-from, w.pictureEdge) * (1 - edge(us-to, w.pictureEdge)); gate > 0 {
				picture := w.black
				if !dark(line) {
					picture += (w.white - w.black) * value(line, us)[0]
					carrier := twinCarrier(w.scan, line, n, degrees)
					for k, tap := range taps {
						// Beyond the lattice, outside the edges of blanking, color stays.
						c := value(line, min(max(us+float64(k-half)/w.mhz, ends[line][0]), ends[line][1]))
						picture += gain * tap * (c[1]*carrier[1] + c[2]*carrier[2])
					}
				}
				v += gate * picture
			}
		}
		out = append(out, v)
	}
	return out
}

// TestEncoderTwin holds the encoder to the twin within 0.01 mV, for a picture
// in which every sample of every line differs, with lines that the picture does
// not have, over whole sequences and one frame more.
func TestEncoderTwin(t *testing.T) {
	value := func(line int, us float64) color {
		y, x := float64(line), us
		return color{
			0.5 + 0.4*math.Sin(0.9*x+0.11*y) + 0.05*math.Sin(11*x),
			0.35 * math.Sin(1.7*x-0.07*y),
			0.3*math.Cos(0.6*x+0.23*y) + 0.05*math.Sin(7*x),
		}
	}
	const stride = 11
	dark := func(line int) bool { return line == 22 || line == 100 || line == 284 || line == 340 }
	for _, tt := range brief(3, []struct {
		wire string
		scan *timing.Scan
		band composite.Band
	}{
		{"composite-m", timing.Scan525i, composite.Wide},
		{"pal", timing.Scan625i, composite.Wide},
		{"composite-m", timing.Scan262c227_33, composite.Wide},
		{"composite-j", timing.Scan525i, composite.Unlimited},
		{"composite-j", timing.Scan262c228, composite.Unlimited},
		{"pal", timing.Scan312, composite.Unlimited},
		{"pal", timing.Scan313, composite.Wide},
	}) {
		t.Run(tt.wire+" "+tt.scan.Name, func(t *testing.T) {
			t.Parallel()
			w := composite.Lookup(tt.wire)
			frames := w.Sequence(tt.scan) + 1 // the last as it was kept
			if testing.Short() {
				frames = 1
			}
			o := composite.Standard
			o.Band = tt.band
			e, err := composite.NewEncoder(w, tt.scan, o)
			require.NoError(t, err)
			made := map[*timing.Raster]*frame.Frame{}
			taps := []float64{1}
			if tt.band != composite.Unlimited {
				// The filter as it was measured, where it is not nothing.
				clear := map[bool]string{true: "yc-j", false: "yc-pal"}[tt.scan.System == timing.System525]
				full := map[bool]*timing.Scan{true: timing.Scan525i, false: timing.Scan625i}[tt.scan.System == timing.System525]
				h := impulse(t, clear, full, tt.band, 1)
				mid := len(h) / 2
				taps = h[mid-5 : mid+6]
				assert.InDelta(t, 0, h[mid-6], 1e-6, "the filter is shorter than its twin")
			}
			twin := wireTwinOf(tt.wire, tt.scan)
			for n := range frames {
				l := e.Lattice(n)
				if made[l] == nil {
					made[l] = without(painted(l, value), dark)
				}
				got := e.Append(nil, made[l], n)[0]
				want := twin.encode(t, n, stride, taps, value, dark, rowEnds(l))
				for k := range want {
					i := n%stride + k*stride
					require.Less(t, i, len(got), "samples of frame %d", n)
					if math.Abs(float64(got[i])-want[k]) > 0.01 {
						us := float64(i) / twin.mhz
						line := math.Floor(us / twin.h)
						require.InDelta(t, want[k], got[i], 0.01, "frame %d, about line %g at %.3f us", n, line+1, us-line*twin.h)
					}
				}
				require.Less(t, len(got)-1-(n%stride+(len(want)-1)*stride), stride, "samples of frame %d", n)
			}
		})
	}
}

// rowEnds returns when the first and the last sample of each line's row of a
// lattice are taken, us after its 0H.
func rowEnds(l *timing.Raster) map[int][2]float64 {
	ends := map[int][2]float64{}
	g := geometryOf(l)
	for j, x := range l.Lines {
		c := l.Comb(j)
		us := func(i int) float64 { return c.At(i)/g.heights() + (g.left+g.right)/2 }
		ends[x.Number] = [2]float64{us(0), us(l.Width - 1)}
	}
	return ends
}

// without takes lines out of a frame.
func without(f *frame.Frame, gone func(line int) bool) *frame.Frame {
	r := *f.Raster
	out := &frame.Frame{Raster: &r, Sampling: f.Sampling}
	r.Lines = nil
	for j, l := range f.Raster.Lines {
		if gone(l.Number) {
			continue
		}
		r.Lines = append(r.Lines, l)
		for c := range f.Planes {
			out.Planes[c].Lines = append(out.Planes[c].Lines, f.Planes[c].Lines[j])
		}
	}
	for c := range f.Planes {
		out.Planes[c].Rows = f.Planes[c].Rows
	}
	return out
}
