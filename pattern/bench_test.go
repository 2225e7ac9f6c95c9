package pattern

import (
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// BenchmarkPaint lays out and samples every pattern at its defaults, 4:2:2.
// Bytes are those of the samples as float64.
func BenchmarkPaint(b *testing.B) {
	for _, e := range All() {
		for _, name := range []string{"480i", "576i", "240p"} {
			b.Run(e.Name+"/"+name, func(b *testing.B) {
				r := timing.Lookup(name)
				v := NewView(r, colorimetry.YCbCr10, frame.S422, Shaped)
				p, _ := e.New()
				b.SetBytes(int64(8 * 2 * r.Width * r.Height()))
				b.ReportAllocs()
				for b.Loop() {
					s, err := p.Scene(v)
					if err != nil {
						b.Fatal(err)
					}
					if _, err := Sample(s, r, frame.S422, 0); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkAll is what a start of the program pays for the catalogue.
func BenchmarkAll(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if len(All()) == 0 {
			b.Fatal("empty")
		}
	}
}

// BenchmarkWithIdent is a picture full of patches, between which a caption has
// to find its place.
func BenchmarkWithIdent(b *testing.B) {
	p, err := Parse("vectors")
	if err != nil {
		b.Fatal(err)
	}
	v := NewView(timing.Lookup("480i"), colorimetry.YCbCr8, frame.S422, Shaped)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := WithIdent(p, "VECTORS 480I AS PLAYER").Scene(v); err != nil {
			b.Fatal(err)
		}
	}
}
