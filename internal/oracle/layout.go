package oracle

import "slices"

// layout says how a pixel format lies in a raw file, and into which planes the
// converter takes it apart without changing a code.
type layout struct {
	name   string // as the converter names it
	planar string // a key of planars
	// bytes returns the length of a frame.
	bytes func(w, h int) int
}

// planar is a format of whole planes: the samples a chroma sample stands for
// across and down, the bytes of a sample, and whether the planes are G, B, R.
type planar struct {
	across, down, bytes int
	gbr                 bool
}

// layouts are the formats that Codes can read. Frame lengths come from the
// kernel's pixel format documents (pixfmt-packed-yuv, pixfmt-yuv-planar,
// pixfmt-rgb); that of v210 from a description on an open wiki (secondary):
// lines of 128 bytes for every 48 samples begun.
func layouts() []layout {
	packed := func(bits int) func(w, h int) int {
		return func(w, h int) int { return w * h * bits / 8 }
	}
	all := []layout{
		{"uyvy422", "yuv422p", packed(16)},
		{"yuyv422", "yuv422p", packed(16)},
		{"yvyu422", "yuv422p", packed(16)},
		{"nv12", "yuv420p", packed(12)},
		{"p010le", "yuv420p10le", packed(24)},
		{"v210", "yuv422p10le", func(w, h int) int { return (w + 47) / 48 * 128 * h }},
		{"rgb24", "gbrp", packed(24)},
		{"bgr24", "gbrp", packed(24)},
		{"rgb0", "gbrp", packed(32)},
		{"bgr0", "gbrp", packed(32)},
		{"rgb565le", "gbrp", packed(16)},
		{"rgb555le", "gbrp", packed(16)},
		{"rgb8", "gbrp", packed(8)},
	}
	for name, p := range planars() {
		all = append(all, layout{name, name, p.frame})
	}
	return all
}

// planars are the formats that the converter hands back.
func planars() map[string]planar {
	return map[string]planar{
		"yuv444p":     {1, 1, 1, false},
		"yuv422p":     {2, 1, 1, false},
		"yuv420p":     {2, 2, 1, false},
		"yuv411p":     {4, 1, 1, false},
		"yuv444p10le": {1, 1, 2, false},
		"yuv422p10le": {2, 1, 2, false},
		"yuv420p10le": {2, 2, 2, false},
		"gbrp":        {1, 1, 1, true},
	}
}

// size returns the size of plane i of three.
func (p planar) size(i, w, h int) (pw, ph int) {
	if i == 0 || p.gbr {
		return w, h
	}
	return (w + p.across - 1) / p.across, (h + p.down - 1) / p.down
}

// frame returns the bytes of a frame.
func (p planar) frame(w, h int) (n int) {
	for i := range 3 {
		pw, ph := p.size(i, w, h)
		n += pw * ph * p.bytes
	}
	return n
}

// layoutOf returns the layout of a pixel format.
func layoutOf(name string) (layout, bool) {
	all := layouts()
	i := slices.IndexFunc(all, func(l layout) bool { return l.name == name })
	if i < 0 {
		return layout{}, false
	}
	return all[i], true
}
