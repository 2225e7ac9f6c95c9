package trace

import (
	"fmt"
	"strings"
	"testing"

	"backporch/internal/composite"
)

// BenchmarkRead reads a million samples.
func BenchmarkRead(b *testing.B) {
	var text strings.Builder
	text.WriteString("Time (s),CH1 (V)\n")
	for i := range 1_000_000 {
		fmt.Fprintf(&text, "%.9e,%.6f\n", float64(i)*4e-9, float64(i%97)/100)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, err := Read(strings.NewReader(text.String()), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkMeasure measures a field and a half at 50 MS/s: 1.3 million samples
// of 400 lines.
func BenchmarkMeasure(b *testing.B) {
	k := take{spec: "bars-eg1", raster: "480i", wire: "composite-m", options: composite.Standard, first: 22, lines: 400, before: 2, after: 2, mhz: 50, noise: 3}
	r := k.record(b)
	target := targetOf(b, k.spec, k.raster, k.wire, "")
	for b.Loop() {
		if _, err := Measure(r, Conditions{}, target); err != nil {
			b.Fatal(err)
		}
	}
}
