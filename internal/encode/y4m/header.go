// Package y4m writes and reads YUV4MPEG2, a line of text followed by raw
// frames, as yuv4mpeg(5) of mjpegtools 2.1.0 describes it, with the tags for 10
// bits that converters have added (C420p10, C422p10, C444p10: 16-bit
// little-endian words, value in the low bits).
//
// It writes studio-range Y'CbCr and says so (XCOLORRANGE=LIMITED). There is no
// tag for primaries or matrix. Frame lines carry no parameters, because a
// reader may seek by a fixed frame size.
package y4m

import (
	"fmt"
	"strconv"
	"strings"

	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// MaxHeader is the length, with its newline, below which every known reader
// takes a header.
const MaxHeader = 96

const (
	magic     = "YUV4MPEG2"
	frameLine = "FRAME\n"
)

// A Header is the first line of a stream.
type Header struct {
	Width, Height int
	Rate          timing.Ratio // frames per second; the zero Ratio if unknown
	Interlace     byte         // 'p', 't' (top field first), 'b', or '?' if unknown
	Shape         timing.Ratio // sample width over height; the zero Ratio if unknown
	Chroma        string       // "422", "420mpeg2", "411", "444p10" ...
	Range         string       // "LIMITED", "FULL" or ""
}

// InterlaceOf returns the tag of a time order.
func InterlaceOf(o timing.Order) byte { return [...]byte{'p', 't', 'b'}[o] }

// ChromaOf returns the tag of a sampling at a depth. 4:2:0 of 8 bits is
// 420mpeg2, co-sited across, or 420paldv; the tags for more bits do not say, and
// there is none for the samplings of DV, which has 8 bits: it panics on those.
func ChromaOf(m frame.Sampling, bits int) string {
	dv := m == frame.S411 || m == frame.S420DV
	tag := map[frame.Sampling]string{
		frame.S444: "444", frame.S422: "422", frame.S411: "411",
		frame.S420: "420mpeg2", frame.S420Field: "420mpeg2", frame.S420DV: "420paldv",
	}[m]
	switch {
	case tag == "" || dv && bits > 8:
		panic(fmt.Sprintf("y4m: ChromaOf of %v, %d bits", m, bits))
	case bits > 8:
		return tag[:3] + "p" + strconv.Itoa(bits)
	}
	return tag
}

// Layout returns how the planes of a frame lie.
func (h Header) Layout() (*pixfmt.Layout, error) {
	across, down, bits := 0, 0, 8
	switch h.Chroma {
	case "420", "420jpeg", "420mpeg2", "420paldv":
		across, down = 2, 2
	case "411":
		across, down = 4, 1
	case "422":
		across, down = 2, 1
	case "444":
		across, down = 1, 1
	case "420p10":
		across, down, bits = 2, 2, 10
	case "422p10":
		across, down, bits = 2, 1, 10
	case "444p10":
		across, down, bits = 1, 1, 10
	default:
		return nil, UnsupportedError(fmt.Sprintf("chroma tag C%s; 420, 422 and 444 of 8 or 10 bits and 411 of 8 are read", h.Chroma))
	}
	return pixfmt.Planar(bits, across, down), nil
}

// Append appends the header with its newline to dst. The error is an
// UnsupportedError when it would be too long for other readers.
func (h Header) Append(dst []byte) ([]byte, error) {
	start := len(dst)
	dst = fmt.Appendf(dst, "%s W%d H%d F%s I%c A%s C%s", magic, h.Width, h.Height, pair(h.Rate), h.Interlace, pair(h.Shape), h.Chroma)
	if h.Range != "" {
		dst = append(dst, " XCOLORRANGE="+h.Range...)
	}
	dst = append(dst, '\n')
	if n := len(dst) - start; n >= MaxHeader {
		return dst[:start], UnsupportedError(fmt.Sprintf("a header of %d bytes, and some readers stop at %d; choose a rate and a sample shape of smaller whole numbers", n, MaxHeader))
	}
	return dst, nil
}

// pair writes a ratio as readers want it, 0:0 when unknown.
func pair(r timing.Ratio) string { return fmt.Sprintf("%d:%d", r.Num, r.Den) }

// ParseHeader reads the first line of a stream, with or without its newline.
// The errors are a FormatError or an UnsupportedError.
func ParseHeader(line string) (Header, error) {
	fields := strings.Split(strings.TrimSuffix(line, "\n"), " ")
	if fields[0] != magic {
		return Header{}, FormatError("does not begin with " + magic)
	}
	h := Header{Interlace: '?', Chroma: "420jpeg"} // defaults of yuv4mpeg(5)
	for _, f := range fields[1:] {
		if f == "" {
			continue
		}
		if err := h.parse(f[0], f[1:]); err != nil {
			return Header{}, err
		}
	}
	if h.Width == 0 || h.Height == 0 {
		return Header{}, FormatError("no width and height in the header")
	}
	if _, err := h.Layout(); err != nil {
		return Header{}, err
	}
	return h, nil
}

// parse reads one parameter. Unknown ones are ignored, as yuv4mpeg(5) asks.
func (h *Header) parse(tag byte, value string) (err error) {
	switch tag {
	case 'W':
		h.Width, err = side(tag, value)
	case 'H':
		h.Height, err = side(tag, value)
	case 'F':
		h.Rate, err = ratio(tag, value)
	case 'A':
		h.Shape, err = ratio(tag, value)
	case 'I':
		switch value {
		case "p", "t", "b", "?":
			h.Interlace = value[0]
		case "m":
			return UnsupportedError("frames of mixed interlacing (Im)")
		default:
			return FormatError(fmt.Sprintf("interlacing I%s", value))
		}
	case 'C':
		h.Chroma = value
	case 'X':
		if r, ok := strings.CutPrefix(value, "COLORRANGE="); ok {
			if r != "LIMITED" && r != "FULL" {
				return FormatError(fmt.Sprintf("color range %q", r))
			}
			h.Range = r
		}
	}
	return err
}

func side(tag byte, value string) (int, error) {
	n, err := strconv.ParseUint(value, 10, 15)
	if err != nil || n == 0 {
		return 0, FormatError(fmt.Sprintf("%c%s is not a size from 1 to %d", tag, value, 1<<15-1))
	}
	return int(n), nil
}

// ratio reads num:den. 0:0 is the zero Ratio, unknown.
func ratio(tag byte, value string) (timing.Ratio, error) {
	a, b, ok := strings.Cut(value, ":")
	num, err1 := strconv.ParseUint(a, 10, 62)
	den, err2 := strconv.ParseUint(b, 10, 62)
	if !ok || err1 != nil || err2 != nil || (num == 0) != (den == 0) {
		return timing.Ratio{}, FormatError(fmt.Sprintf("%c%s is not a ratio such as %c25:1", tag, value, tag))
	}
	if den == 0 {
		return timing.Ratio{}, nil
	}
	return timing.R(int64(num), int64(den)), nil
}
