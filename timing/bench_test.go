package timing

import "testing"

// spans is what sampling a frame asks of a raster, once a plane.
func spans(r *Raster) (sum float64) {
	for j := range r.Lines {
		sum += r.Span(j).Y
	}
	return sum
}

func BenchmarkSpan(b *testing.B) {
	for _, name := range []string{"480i", "576i", "240p"} {
		r := Lookup(name)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				spans(r)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*r.Height()), "ns/row")
		})
	}
}

// combs asks for the places of every row, as a Free raster needs.
func combs(r *Raster) (sum float64) {
	for j := range r.Lines {
		sum += r.Comb(j).X0
	}
	return sum
}

func BenchmarkComb(b *testing.B) {
	for _, r := range []*Raster{Lookup("480i"), free525(), free625()} {
		b.Run(r.Name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				combs(r)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*r.Height()), "ns/row")
		})
	}
}

func BenchmarkRatio(b *testing.B) {
	x, y := R(39_375_000, 11), R(709_379, 2500)
	b.Run("Add", func(b *testing.B) {
		for b.Loop() {
			x.Add(y)
		}
	})
	b.Run("Div", func(b *testing.B) {
		for b.Loop() {
			x.Div(y)
		}
	})
	b.Run("Float64", func(b *testing.B) {
		for b.Loop() {
			x.Float64()
		}
	})
}
