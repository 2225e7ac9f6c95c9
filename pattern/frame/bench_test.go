package frame

import "testing"

// distinctRows returns n rows of w samples, all different.
func distinctRows(n, w int) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, w)
		for j := range rows[i] {
			rows[i][j] = float64((i*j)%977) / 977
		}
		rows[i][w-1] = float64(i)
	}
	return rows
}

func BenchmarkInterner(b *testing.B) {
	rows := distinctRows(240, 720)
	b.Run("480 rows, mirrored", func(b *testing.B) {
		b.SetBytes(480 * 720 * 8)
		b.ReportAllocs()
		for b.Loop() {
			var n Interner
			for i := range rows {
				n.Add(rows[i])
			}
			for i := range rows {
				n.Add(rows[len(rows)-1-i])
			}
		}
	})
}

func BenchmarkDistinct(b *testing.B) {
	f := &Frame{Sampling: S444}
	rows := distinctRows(240, 4)
	for i := range f.Planes {
		f.Planes[i].Rows = rows
		for j := range 480 {
			f.Planes[i].Lines = append(f.Planes[i].Lines, int32(j/2))
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		f.Distinct()
	}
}
