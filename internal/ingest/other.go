package ingest

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"backporch/internal/ffmpeg"
	"backporch/internal/pixfmt"
	"backporch/timing"
)

// OpenOther opens a file that an installed converter reads. Its samples are
// taken as they are stored wherever that can be; where it cannot, Notes say what
// was done. Close ends the converter.
func OpenOther(ctx context.Context, t *ffmpeg.Tool, path string) (*Source, error) {
	p, err := t.Probe(ctx, path)
	if err != nil {
		return nil, err
	}
	v := p.Video
	if v == nil {
		return nil, errors.New("there is sound in it, but no picture")
	}
	if v.Width <= 0 || v.Height <= 0 || v.Width*v.Height > MaxSamples {
		return nil, fmt.Errorf("the picture is %d x %d samples; at most %d samples are read", v.Width, v.Height, MaxSamples)
	}
	px := pixelsOf(v.Pixels)
	l := pixfmt.Lookup(px.layout)
	s := &Source{Info: Info{
		Width: v.Width, Height: v.Height, Order: orderOf(v.FieldOrder), Rate: ratio(v.Rate, "/"), Shape: ratio(v.SampleAspect, ":"),
		Across: l.Across, Down: l.Down, Kind: v.Codec + " in " + p.Format,
	}}
	if px.name != v.Pixels {
		s.Notes = append(s.Notes, fmt.Sprintf("Its samples (%s) were converted to %s on the way: levels may have moved by a part of a code.", v.Pixels, px.name))
	}
	if px.rgb {
		s.rgb(false, false)
	} else {
		s.studio(l.Bits, px.full || v.Range == "pc")
	}
	if v.Siting == "center" {
		s.first = 0.5
	}
	ctx, stop := context.WithCancel(ctx)
	r, w := io.Pipe()
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		// A path may begin with a hyphen, or have a colon in it.
		err := t.Run(ctx, nil, w, "-i", "file:"+path, "-map", "0:v:0", "-fps_mode", "passthrough",
			"-sws_flags", "accurate_rnd+full_chroma_int+full_chroma_inp", "-f", "rawvideo", "-pix_fmt", px.name, "pipe:1")
		w.CloseWithError(err) // io.EOF when nil
	}()
	s.codes = rawFrames(r, l, v.Width, v.Height, fmt.Sprintf("%d x %d samples in %s", v.Width, v.Height, px.name))
	s.close = func() error {
		stop()
		r.Close()
		<-ended
		return nil
	}
	return s, nil
}

// pixels is how samples leave the converter.
type pixels struct {
	name   string // to it
	layout string // to package pixfmt
	full   bool
	rgb    bool
}

// pixelsOf returns the layout nearest to one of the converter's own: the same
// where we read it.
func pixelsOf(name string) pixels {
	same := map[string]string{
		"yuv420p": "i420", "yuv422p": "i422", "yuv444p": "i444", "yuv411p": "i411", "nv12": "nv12", "uyvy422": "uyvy", "yuyv422": "yuyv",
		"yuv420p10le": "yuv420p10", "yuv422p10le": "yuv422p10", "yuv444p10le": "yuv444p10",
	}
	if l, ok := same[name]; ok && pixfmt.Lookup(l) != nil {
		return pixels{name: name, layout: l}
	}
	// yuvj is yuv of full range, with the same memory.
	if l, ok := same[strings.Replace(name, "yuvj", "yuv", 1)]; ok && pixfmt.Lookup(l) != nil {
		return pixels{name: name, layout: l, full: true}
	}
	for _, prefix := range []string{"rgb", "bgr", "gbr", "argb", "abgr", "pal", "0rgb", "0bgr", "mono"} {
		if strings.HasPrefix(name, prefix) {
			return pixels{name: "rgb24", layout: "rgb24", rgb: true}
		}
	}
	deep := ""
	for _, bits := range []string{"9", "10", "12", "14", "16"} {
		if strings.HasSuffix(name, bits+"le") || strings.HasSuffix(name, bits+"be") {
			deep = "10le"
		}
	}
	out := "yuv444p"
	for _, chroma := range []string{"420", "422"} {
		if strings.Contains(name, chroma) || chroma == "420" && strings.HasPrefix(name, "p0") || chroma == "422" && strings.HasPrefix(name, "p2") {
			out = "yuv" + chroma + "p"
		}
	}
	if strings.HasPrefix(name, "p0") || strings.HasPrefix(name, "p2") || strings.HasPrefix(name, "p4") {
		deep = "10le" // P010 and its like: words with the value in the high bits
	}
	return pixels{name: out + deep, layout: same[out+deep]}
}

// orderOf returns the order of fields. A file says first how fields are coded
// and then how they are shown; where the two letters differ the first was the
// one that is true, with every writer tried.
func orderOf(s string) byte {
	switch s {
	case "progressive":
		return 'p'
	case "tt", "tb":
		return 't'
	case "bb", "bt":
		return 'b'
	}
	return '?'
}

// ratio reads two whole numbers; what is none, or zero, is the zero Ratio.
func ratio(s, between string) timing.Ratio {
	a, b, _ := strings.Cut(s, between)
	num, err1 := strconv.ParseInt(a, 10, 32)
	den, err2 := strconv.ParseInt(b, 10, 32)
	if err1 != nil || err2 != nil || num <= 0 || den <= 0 {
		return timing.Ratio{}
	}
	return timing.R(num, den)
}
