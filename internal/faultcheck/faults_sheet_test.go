package faultcheck

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/ffmpeg"
	"backporch/internal/measure"
)

// A sheet is a pattern played in 4:4:4, of which one run of the converter makes
// many captures, each by filters of its own: a start of the converter takes
// longer than most filters do.
type sheet struct{ *played }

func newSheet(t testing.TB, spec, raster string, frames int) *sheet {
	return &sheet{playIn(t, "444", spec, raster, frames)}
}

// captures returns the first frame that comes out of each chain of filters. All
// must be of the size of the raster. What a filter notes of range and matrix is
// written over: the fault is that nobody else knows.
func (s *sheet) captures(t testing.TB, tool *ffmpeg.Tool, chains []string) []*measure.Picture {
	var g strings.Builder
	fmt.Fprintf(&g, "[0:v]split=%d", len(chains))
	for i := range chains {
		fmt.Fprintf(&g, "[a%d]", i)
	}
	for i, c := range chains {
		fmt.Fprintf(&g, ";[a%d]%s,format=yuv444p,setparams=range=tv:colorspace=smpte170m,setsar=1,trim=end_frame=1,setpts=0[b%d]", i, c, i)
	}
	g.WriteString(";")
	for i := range chains {
		fmt.Fprintf(&g, "[b%d]", i)
	}
	fmt.Fprintf(&g, "concat=n=%d[out]", len(chains))
	var out bytes.Buffer
	require.NoError(t, tool.Run(context.Background(), bytes.NewReader(s.file), &out, "-f", "yuv4mpegpipe", "-i", "pipe:0",
		"-sws_flags", "accurate_rnd+full_chroma_int+full_chroma_inp", "-filter_complex", g.String(), "-map", "[out]",
		"-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", "yuv444p", "pipe:1"), g.String())
	size := 3 * s.raster.Width * s.raster.Height()
	require.Equal(t, len(chains)*size, out.Len(), "bytes of %d pictures", len(chains))
	var list []*measure.Picture
	for i := range chains {
		list = append(list, s.picture(out.Bytes()[i*size:(i+1)*size]))
	}
	return list
}

// picture reads codes: black 16, white 235, CB and CR 16 to 240 (ITU-R BT.601-5
// clauses 3.5.3 and 3.5.4).
func (s *sheet) picture(codes []byte) *measure.Picture {
	p := &measure.Picture{
		Width: s.raster.Width, Height: s.raster.Height(), Across: 1, Down: 1, Frames: 1,
		Fields: s.raster.Scan.Interlaced(), Coding: colorimetry.YCbCr8,
	}
	n := p.Width * p.Height
	for c := range p.Planes {
		zero, span := 16., 219.
		if c > 0 {
			zero, span = 128, 224
		}
		p.Planes[c] = make([]float32, n)
		for i, code := range codes[c*n : (c+1)*n] {
			p.Planes[c][i] = float32((float64(code) - zero) / span)
		}
	}
	return p
}

// A strength is a fault of one size as filters make it.
type strength struct {
	fault   measure.Fault
	step    int     // 0 weak, 1 middle, 2 strong
	value   float64 // NaN: none to compare
	within  float64
	chain   string
	besides []measure.Fault // what the chain does as well
}

// codeChain is arithmetic of codes as a table, cut to 8 bits at their ends alone.
func codeChain(y, c string) string {
	table := func(s string) string { return "'clip(floor(0.5+" + s + "),0,255)'" }
	return "lutyuv=y=" + table(y) + ":u=" + table(c) + ":v=" + table(c)
}

// scaledCodes has luma times a plus b and chroma times c.
func scaledCodes(a, b, c float64) string {
	return codeChain(fmt.Sprintf("16+%g*(val-16)+%g", a, 219*b), fmt.Sprintf("128+%g*(val-128)", c))
}

// throughRGB turns codes into R'G'B' of 16 bits by one matrix and back by
// another, with a filter between: by zimg.
func throughRGB(from, between, to string) string {
	if between != "" {
		between += ","
	}
	return fmt.Sprintf("zscale=matrixin=%s:rangein=limited:matrix=gbr:range=full,format=gbrp16,%szscale=matrixin=gbr:rangein=full:matrix=%s:range=limited,format=yuv444p", from, between, to)
}

// lineFilters is a filter of whole numbers along the line, of luma or of chroma.
func lineFilters(chroma bool, taps ...int) string {
	same, text := "0 0 0 0 1 0 0 0 0", strings.Trim(fmt.Sprint(taps), "[]")
	y, c, mode := text, same, "0mode=row"
	if chroma {
		y, c, mode = same, text, "1mode=row:2mode=row"
	}
	return fmt.Sprintf("convolution=0m='%s':1m='%s':2m='%s':%s", y, c, c, mode)
}

// responseOf is the response of such a filter at a part of the sampling rate.
func responseOf(taps []int, f float64) float64 {
	var sum, at float64
	for i, k := range taps {
		sum += float64(k)
		at += float64(k) * math.Cos(2*math.Pi*f*float64(i-len(taps)/2))
	}
	return at / sum
}

// downBy3dB is where the response falls to the root of a half, in MHz at 13.5.
func downBy3dB(taps []int) float64 {
	low, high := 0., 0.5
	for range 50 {
		if m := (low + high) / 2; responseOf(taps, m) > math.Sqrt(0.5) {
			low = m
		} else {
			high = m
		}
	}
	return 13.5 * low
}

// moved puts the picture n samples to the right and m rows down, into black.
func moved(n, m int) string {
	at := func(v int) (pad, crop int) { return max(v, 0), max(-v, 0) }
	px, cx := at(n)
	py, cy := at(m)
	return fmt.Sprintf("pad=iw+%d:ih+%d:%d:%d:black,crop=iw-%d:ih-%d:%d:%d", max(n, -n), max(m, -m), px, py, max(n, -n), max(m, -m), cx, cy)
}

// strengths are all faults that filters of still pictures make. A picture that
// went through R'G'B' has lost what no R'G'B' has.
func strengths() []strength {
	var list []strength
	cut := []measure.Fault{measure.BelowBlackCut, measure.AboveWhiteCut}
	add := func(f measure.Fault, step int, value, within float64, chain string, besides ...measure.Fault) {
		list = append(list, strength{f, step, value, within, chain, besides})
	}
	none := math.NaN()
	for i, g := range []float64{3, -6, -12} {
		add(measure.LumaGain, i, g, 0.5, scaledCodes(1+g/100, 0, 1+g/100), cut...)
	}
	for i, o := range []float64{1.5, -3, 6} {
		add(measure.BlackOffset, i, o, 0.5, scaledCodes(1, o/100, 1), cut...)
	}
	for i, g := range []float64{5, -12, -25} {
		add(measure.ChromaGain, i, g, 1, scaledCodes(1, 0, 1+g/100))
	}
	for i, d := range []float64{2, -6, 15} {
		// CB and CR turn on a vectorscope as U = 0.872021 CB, V = 1.229951 CR:
		// SMPTE 170M-2004 clause A.3, ITU-R BT.601-5 clause 3.5.2.
		sin, cos := math.Sincos(d * math.Pi / 180)
		const ratio = 1.229951 / 0.872021
		add(measure.ChromaPhase, i, d, 0.5, fmt.Sprintf("geq=lum='lum(X,Y)':cb='clip(128.5+%.6f*(cb(X,Y)-128)-%.6f*(cr(X,Y)-128),0,255)':cr='clip(128.5+%.6f*(cb(X,Y)-128)+%.6f*(cr(X,Y)-128),0,255)'",
			cos, sin*ratio, sin/ratio, cos))
	}
	for i, g := range []float64{1.06, 0.88, 1.2} {
		f := fmt.Sprintf("65535*pow(val/65535,%g)", g)
		// What moves half white by 0.5 IRE: d(0.5^g) = 0.347 dg.
		add(measure.Gamma, i, g, 0.5/34.7, throughRGB("170m", "lutrgb=r='"+f+"':g='"+f+"':b='"+f+"'", "170m"), cut...)
	}
	for i, bits := range []int{5, 4, 3} {
		f := fmt.Sprintf("round(val*%d/65535)*65535/%d", 1<<bits-1, 1<<bits-1)
		add(measure.Quantized, i, float64(bits), 0.5, throughRGB("170m", "lutrgb=r='"+f+"':g='"+f+"':b='"+f+"'", "170m"), cut...)
	}
	// Setup of 7.5 IRE: SMPTE 170M-2004 clause 10.
	add(measure.SetupAdded, 1, none, 0, scaledCodes(0.925, 0.075, 0.925))
	add(measure.SetupMissing, 1, none, 0, scaledCodes(1/0.925, -0.075/0.925, 1/0.925), cut...)
	add(measure.RangeSqueezed, 1, none, 0, "scale=in_range=full:out_range=limited")
	add(measure.RangeStretched, 1, none, 0, "scale=in_range=limited:out_range=full", cut...)
	add(measure.ChromaSwapped, 1, none, 0, "swapuv")
	add(measure.Encoded709, 1, none, 0, throughRGB("170m", "", "709"), cut...)
	add(measure.Decoded709, 1, none, 0, throughRGB("709", "", "170m"), cut...)
	add(measure.BelowBlackCut, 1, none, 0, "lutyuv=y='max(val,16)':u=val:v=val")
	add(measure.AboveWhiteCut, 1, none, 0, "lutyuv=y='min(val,235)':u=val:v=val")
	add(measure.RowsSwapped, 1, none, 0, "il=ls=1:cs=1")
	for i, taps := range [][]int{{1, 6, 1}, {1, 2, 1}, {1, 4, 6, 4, 1}} {
		add(measure.Bandwidth, i, downBy3dB(taps), 0.15, lineFilters(false, taps...))
	}
	for i, taps := range [][]int{{1, 4, 6, 4, 1}, {1, 8, 28, 56, 70, 56, 28, 8, 1}, {1, 1, 1, 1, 1, 1, 1, 1, 1}} {
		add(measure.ChromaBandwidth, i, downBy3dB(taps), 0.15, lineFilters(true, taps...))
	}
	for i, a := range []int{1, 2, 3} { // tenths: 1 + 4a sin2(pi f/fs)
		add(measure.Sharpened, i, none, 0, lineFilters(false, -a, 10+2*a, -a), cut...)
	}
	for i, n := range []int{1, -2, 4} { // samples of 74.07 ns
		add(measure.ChromaLate, i, float64(n)/13.5*1000, 15, fmt.Sprintf("chromashift=cbh=%d:crh=%d:edge=smear", n, n))
	}
	for i, n := range []int{2, -5, 9} {
		add(measure.Shifted, i, float64(n), 0.2, moved(n, 0))
		add(measure.ShiftedY, i, float64(2*(n/2)), 0.2, moved(0, 2*(n/2)))
	}
	for i, w := range []int{706, 742, 684} {
		chain := fmt.Sprintf("scale=%d:ih:flags=lanczos,", w)
		if w < 720 {
			chain += fmt.Sprintf("pad=720:ih:%d:0:black", (720-w)/2)
		} else {
			chain += fmt.Sprintf("crop=720:ih:%d:0", (w-720)/2)
		}
		add(measure.Shape, i, 100*(float64(w)/720-1), 0.15, chain)
	}
	return list
}

// codes are those of the first frame of the file: all behind its head and the
// head of the frame.
func (s *sheet) codes(t testing.TB) []byte {
	const head = "FRAME\n"
	i := bytes.Index(s.file, []byte(head))
	require.Positive(t, i)
	codes := s.file[i+len(head):]
	size := 3 * s.raster.Width * s.raster.Height()
	require.GreaterOrEqual(t, len(codes), size)
	return codes[:size]
}
