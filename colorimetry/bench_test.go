package colorimetry

import "testing"

// row is a row that changes at every sample.
func row(n int) (y, cb, cr []float64) {
	y, cb, cr = make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range y {
		x := float64(i) / float64(n-1)
		s := FromRGB(x, 1-x, 0.5)
		y[i], cb[i], cr[i] = s.Y, s.CB, s.CR
	}
	return
}

func BenchmarkRow(b *testing.B) {
	y, cb, _ := row(720)
	dst := make([]uint16, len(y))
	for _, k := range []*Coding{YCbCr8, YCbCr10} {
		b.Run(k.Name, func(b *testing.B) {
			b.SetBytes(int64(2 * len(dst)))
			b.ReportAllocs()
			for b.Loop() {
				k.Row(dst, Y, y)
				k.Row(dst, CB, cb)
			}
		})
	}
}

func BenchmarkRowRGB(b *testing.B) {
	y, cb, cr := row(720)
	r, g, bl := make([]uint16, len(y)), make([]uint16, len(y)), make([]uint16, len(y))
	for _, k := range []*Coding{RGB8, RGB16, RGB565} {
		b.Run(k.Name, func(b *testing.B) {
			b.SetBytes(int64(6 * len(r)))
			b.ReportAllocs()
			for b.Loop() {
				k.RowRGB(r, g, bl, y, cb, cr)
			}
		})
	}
}

func BenchmarkPlanMapRow(b *testing.B) {
	p := Plan{CompositeM, CompositeJ}
	y, _, _ := row(720)
	b.SetBytes(int64(8 * len(y)))
	b.ReportAllocs()
	for b.Loop() {
		p.MapRow(Y, y)
	}
}

func BenchmarkParseColor(b *testing.B) {
	for _, text := range []string{"white", "gray-50", "75,0,0", "#ff8000"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ParseColor(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
