package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// What follows does to a picture what a faulty player does. It shares no code
// with the hypotheses: matrices are written out here, from the weights of ITU-R
// BT.601-5 clause 3.5.1 (0.299, 0.114) and ITU-R BT.709-5 item 3.2 (0.2126,
// 0.0722), the vectorscope's factors from SMPTE 170M-2004 clause A.3.

// An ill is one fault with its strength, in the unit of a Finding.
type ill struct {
	fault Fault
	value float64
}

type vec [3]float64
type mat [3]vec

func (m mat) times(v vec) (out vec) {
	for i := range 3 {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

// toYCC is Y' = kr R' + (1-kr-kb) G' + kb B', CB = (B'-Y')/(2-2kb), CR =
// (R'-Y')/(2-2kr), written as a matrix.
func toYCC(kr, kb float64) mat {
	kg := 1 - kr - kb
	b, r := 2-2*kb, 2-2*kr
	return mat{{kr, kg, kb}, {-kr / b, -kg / b, (1 - kb) / b}, {(1 - kr) / r, -kg / r, -kb / r}}
}

// toRGB is its inverse, by the adjugate.
func toRGB(kr, kb float64) mat {
	m := toYCC(kr, kb)
	minor := func(a, b, c, d int) float64 { return m[a][c]*m[b][d] - m[a][d]*m[b][c] }
	det := m[0][0]*minor(1, 2, 1, 2) - m[0][1]*minor(1, 2, 0, 2) + m[0][2]*minor(1, 2, 0, 1)
	return mat{
		{minor(1, 2, 1, 2) / det, -minor(0, 2, 1, 2) / det, minor(0, 1, 1, 2) / det},
		{-minor(1, 2, 0, 2) / det, minor(0, 2, 0, 2) / det, -minor(0, 1, 0, 2) / det},
		{minor(1, 2, 0, 1) / det, -minor(0, 2, 0, 1) / det, minor(0, 1, 0, 1) / det},
	}
}

func each(v vec, f func(float64) float64) vec { return vec{f(v[0]), f(v[1]), f(v[2])} }

func clip01(x float64) float64 { return math.Max(0, math.Min(1, x)) }

// injector returns what the ills of level do to one Y' CB CR, in the order in
// which a player has them. lossy cuts R'G'B' where a matrix made it.
func injector(ills []ill, lossy bool) func(vec) vec {
	has, there := map[Fault]float64{}, map[Fault]bool{}
	for _, i := range ills {
		has[i.fault], there[i.fault] = i.value, true
	}
	in601, out601 := toRGB(0.299, 0.114), toYCC(0.299, 0.114)
	in709, out709 := toRGB(0.2126, 0.0722), toYCC(0.2126, 0.0722)
	cut := func(v vec) vec {
		if lossy {
			return each(v, clip01)
		}
		return v
	}
	return func(v vec) vec {
		if there[Quantized] {
			most := math.Pow(2, has[Quantized]) - 1
			v = out601.times(each(in601.times(v), func(x float64) float64 { return math.Floor(clip01(x)*most+0.5+1e-9) / most }))
		}
		if there[ChromaSwapped] {
			v = vec{v[0], v[2], v[1]}
		}
		if there[Decoded709] {
			v = out601.times(cut(in709.times(v)))
		}
		if there[Encoded709] {
			v = out709.times(cut(in601.times(v)))
		}
		if there[Gamma] {
			v = out601.times(each(in601.times(v), func(x float64) float64 {
				return math.Copysign(math.Pow(math.Abs(x), has[Gamma]), x)
			}))
		}
		if there[RangeSqueezed] { // 8-bit codes taken for those of full range
			v = vec{(16 + 219*v[0]) / 255, v[1] * 224 / 255, v[2] * 224 / 255}
		}
		if there[RangeStretched] {
			v = vec{clip01((255*v[0] - 16) / 219), v[1] * 255 / 224, v[2] * 255 / 224}
		}
		if there[SetupAdded] {
			v = vec{0.075 + 0.925*v[0], 0.925 * v[1], 0.925 * v[2]}
		}
		if there[SetupMissing] {
			v = vec{(v[0] - 0.075) / 0.925, v[1] / 0.925, v[2] / 0.925}
		}
		if g := 1 + has[LumaGain]/100; there[LumaGain] {
			v = vec{g * v[0], g * v[1], g * v[2]}
		}
		if there[BlackOffset] {
			v[0] += has[BlackOffset] / 100
		}
		if g := 1 + has[ChromaGain]/100; there[ChromaGain] {
			v = vec{v[0], g * v[1], g * v[2]}
		}
		if a := has[ChromaPhase] * math.Pi / 180; there[ChromaPhase] {
			const ku, kv = 0.492111 * 1.772, 0.877283 * 1.402
			u, w := ku*v[1], kv*v[2]
			v = vec{v[0], (u*math.Cos(a) - w*math.Sin(a)) / ku, (u*math.Sin(a) + w*math.Cos(a)) / kv}
		}
		if there[BelowBlackCut] {
			v[0] = math.Max(v[0], 0)
		}
		if there[AboveWhiteCut] {
			v[0] = math.Min(v[0], 1)
		}
		return v
	}
}

// A bench is a pattern ready to be played and captured many times.
type bench struct {
	name   string
	scene  *pattern.Scene
	view   pattern.View
	raster *timing.Raster
	full   *frame.Frame // 4:4:4, laid out for 4:2:2
}

func newBench(t testing.TB, name, raster string) *bench {
	r := timing.Lookup(raster)
	p, err := pattern.Parse(name)
	require.NoError(t, err)
	b := &bench{name: name, raster: r, view: pattern.NewView(r, colorimetry.YCbCr8, frame.S422, pattern.Shaped)}
	b.scene, err = p.Scene(b.view)
	require.NoError(t, err)
	b.full, err = pattern.Sample(b.scene, r, frame.S444, 0)
	require.NoError(t, err)
	return b
}

// filtersOf returns what the ills of detail do to rows of luma and of chroma, as
// functions of a 4:4:4 row.
func filtersOf(ills []ill, clock float64) (luma, chroma []float64) {
	convolve := func(a, b []float64) []float64 {
		if a == nil {
			return b
		}
		out := make([]float64, len(a)+len(b)-1)
		for i, x := range a {
			for k, y := range b {
				out[i+k] += x * y
			}
		}
		return out
	}
	for _, i := range ills {
		switch i.fault {
		case Bandwidth:
			luma = convolve(luma, bell(i.value, clock))
		case ChromaBandwidth:
			chroma = convolve(chroma, bell(i.value, clock))
		case Sharpened: // rises to 1+value at half the clock: 1+2k-2k cos
			k := i.value / 100 / 4
			luma = convolve(luma, []float64{-k, 1 + 2*k, -k})
		case ChromaLate:
			chroma = convolve(chroma, shifted(i.value/1000*clock))
		}
	}
	return luma, chroma
}

// bell is a filter whose response is exp(-(f/mhz)^2 ln(2)/2), 3 dB down at a
// frequency; its taps are the integral of the response times the cosine.
func bell(mhz, clock float64) []float64 {
	const n, steps = 24, 2000
	taps := make([]float64, 2*n+1)
	var sum float64
	for i := range taps {
		for k := range steps {
			f := (float64(k) + 0.5) / steps / 2 // cycles a sample
			taps[i] += math.Exp(-math.Pow(f*clock/mhz, 2)*math.Ln2/2) * math.Cos(2*math.Pi*f*float64(i-n)) / steps
		}
		sum += taps[i]
	}
	for i := range taps {
		taps[i] /= sum
	}
	return taps
}

// shifted is a sinc under a Hann window, later by so many samples.
func shifted(samples float64) []float64 {
	const n = 24
	taps := make([]float64, 2*n+1)
	for i := range taps {
		t := float64(i-n) - samples
		w := 0.5 + 0.5*math.Cos(math.Pi*float64(i-n)/(n+1))
		if t == 0 {
			taps[i] = w
			continue
		}
		taps[i] = w * math.Sin(math.Pi*t) / (math.Pi * t)
	}
	var sum float64
	for _, t := range taps {
		sum += t
	}
	for i := range taps {
		taps[i] /= sum
	}
	return taps
}

// filtered convolves about the middle tap, edge values continuing.
func filtered(v, taps []float64) []float64 {
	if taps == nil {
		return v
	}
	out := make([]float64, len(v))
	half := len(taps) / 2
	for i := range v {
		for k, t := range taps {
			out[i] += t * v[min(max(i+half-k, 0), len(v)-1)]
		}
	}
	return out
}

// capture plays the pattern with ills of level and detail, and takes it with a
// 4:2:2 capture device that adds noise (standard deviation, parts of white) and
// rounds to the codes of 8 bits.
func (b *bench) capture(ills []ill, lossy bool, noise float64, rnd *rand.Rand) *Picture {
	do := injector(ills, lossy)
	luma, chroma := filtersOf(ills, b.raster.Clock.Float64()/1e6)
	triples, lines := b.full.Distinct()
	w := b.raster.Width
	rows := make([][3][]float64, len(triples))
	for i, tr := range triples {
		y, cb, cr := b.full.Triple(tr)
		out := [3][]float64{make([]float64, w), make([]float64, w), make([]float64, w)}
		var was, is vec
		for x := range w {
			if now := (vec{y[x], cb[x], cr[x]}); x == 0 || now != was {
				was, is = now, do(now)
			}
			out[0][x], out[1][x], out[2][x] = is[0], is[1], is[2]
		}
		rows[i] = [3][]float64{filtered(out[0], luma), filtered(out[1], chroma), filtered(out[2], chroma)}
	}
	lines = reordered(ills, lines)
	p := &Picture{Width: w, Height: len(lines), Across: 2, Down: 1, Fields: b.raster.Scan.Interlaced(), Frames: 1, Coding: colorimetry.YCbCr8}
	var table []float64
	if noise > 0 {
		table = make([]float64, 1<<15)
		for i := range table {
			table[i] = noise * rnd.NormFloat64()
		}
	}
	for c := range 3 {
		step, span, zero := 1, 219.0, 16.0
		if c > 0 {
			step, span, zero = 2, 224, 128
		}
		plane := make([]float32, 0, w/step*len(lines))
		for _, k := range lines {
			at := 0
			if table != nil {
				at = rnd.IntN(len(table) - w)
			}
			row := rows[k][c]
			for x := 0; x < w; x += step {
				v := row[x]
				if table != nil {
					v += table[at+x]
				}
				code := math.Max(1, math.Min(254, math.Floor(v*span+zero+0.5)))
				plane = append(plane, float32((code-zero)/span))
			}
		}
		p.Planes[c] = plane
	}
	return p
}

// reordered exchanges rows 2k and 2k+1 where the ills say so.
func reordered(ills []ill, lines []int32) []int32 {
	for _, i := range ills {
		if i.fault == RowsSwapped {
			out := append([]int32(nil), lines...)
			for k := 0; k+1 < len(out); k += 2 {
				out[k], out[k+1] = out[k+1], out[k]
			}
			return out
		}
	}
	return lines
}

func (b *bench) request(p *Picture) *Request {
	return &Request{Picture: p, Name: b.name, Scene: b.scene, View: b.view, Raster: b.raster}
}
