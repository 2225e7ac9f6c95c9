// Package format knows the file formats by name: their extensions, codings and
// samplings, what each can be asked for, and which writer makes them.
package format

import "backporch/internal/encode/bt656"

// The kinds of writer.
type kind int

const (
	raw kind = iota
	still
	video
	digital // BT.656
)

// A row is what the table knows of a format. A list begins with the default;
// an empty one means that there is no such choice to make. An extension that
// two formats have stands for the first of them.
type row struct {
	name       string
	title      string
	extensions []string
	kind       kind
	rgb        bool
	depths     []int    // bits of the widest component
	chromas    []string // 411, 420, 420dv, 422, 444
	ranges     []string // full, studio
	editions   []string
}

// Ranges of codes.
const (
	full   = "full"   // black 0, white all ones
	studio = "studio" // ITU-R BT.601-5: 8-bit black 16, white 235
)

// table is in listing order: pictures, video, raw frames.
var table = []row{
	{"png", "PNG picture", []string{".png"}, still, true, []int{8, 16}, []string{"444"}, []string{full, studio}, nil},
	{"bmp", "BMP picture", []string{".bmp"}, still, true, []int{8}, []string{"444"}, []string{full, studio}, nil},
	{"bmp24", "BMP picture without a palette", []string{".bmp"}, still, true, []int{8}, []string{"444"}, []string{full, studio}, nil},
	{"y4m", "YUV4MPEG2 video", []string{".y4m"}, video, false, []int{8, 10}, []string{"422", "420", "444", "411", "420dv"}, []string{studio}, nil},
	{"bt656", "ITU-R BT.656 stream of whole frames", []string{".bt656", ".656"}, digital, false, []int{8, 10}, []string{"422"}, []string{studio}, bt656.Editions()},
	yuv("uyvy", 8, "422", ".uyvy"),
	yuv("yuyv", 8, "422", ".yuyv", ".yuy2"),
	yuv("v210", 10, "422", ".v210"),
	{"i420", "raw Y'CbCr frames", []string{".i420", ".yuv"}, raw, false, []int{8}, []string{"420", "420dv"}, []string{studio}, nil},
	yuv("i411", 8, "411", ".i411"),
	yuv("i422", 8, "422", ".i422"),
	yuv("i444", 8, "444", ".i444"),
	yuv("nv12", 8, "420", ".nv12"),
	yuv("yuv420p10", 10, "420", ".yuv420p10"),
	yuv("yuv422p10", 10, "422", ".yuv422p10"),
	yuv("yuv444p10", 10, "444", ".yuv444p10"),
	{"rgb24", "raw R'G'B' frames", []string{".rgb24", ".rgb"}, raw, true, []int{8}, []string{"444"}, []string{full, studio}, nil},
	{"rgb565", "raw R'G'B' frames", []string{".rgb565"}, raw, true, []int{6}, []string{"444"}, []string{full}, nil},
	{"rgb555", "raw R'G'B' frames", []string{".rgb555"}, raw, true, []int{5}, []string{"444"}, []string{full}, nil},
}

// yuv is a row of a raw Y'CbCr format.
func yuv(name string, depth int, chroma string, extensions ...string) row {
	return row{name, "raw Y'CbCr frames", extensions, raw, false, []int{depth}, []string{chroma}, []string{studio}, nil}
}

// Names returns the names of the formats in listing order.
func Names() []string {
	names := make([]string, len(table))
	for i, r := range table {
		names[i] = r.name
	}
	return names
}
