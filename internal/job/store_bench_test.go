package job

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// thousand is a job of 1,000 entries, each tenth a measurement of ten steps.
func thousand(b *testing.B) (*Bench, *Job) {
	bench := newBench(b)
	j := create(b, bench, "bench-a")
	c := j.content
	for i := 2; i <= 1000; i++ {
		e := note(fmt.Sprintf("note %d, of about the length that a remark on the bench has", i))
		if i%10 == 0 {
			e = gray(80)
			for l := range 10 {
				e.Measure.Light = append(e.Measure.Light, Light{Level: float64(10 * l), X: 1.5, Y: 2.25, Z: 3.125})
			}
		}
		bench.stamp(&e, i)
		var err error
		c, err = c.with(e)
		require.NoError(b, err)
	}
	require.NoError(b, os.WriteFile(j.Path, c.data, 0o666))
	require.NoError(b, os.WriteFile(j.Path+".good", c.data, 0o666))
	b.SetBytes(int64(len(c.data)))
	return bench, j
}

func BenchmarkOpen(b *testing.B) {
	bench, _ := thousand(b)
	b.ReportAllocs()
	for b.Loop() {
		_, err := bench.Open("bench-a")
		require.NoError(b, err)
	}
}

// BenchmarkAppend has two syncs of files and two of the folder in it.
func BenchmarkAppend(b *testing.B) {
	bench, j := thousand(b)
	data, err := os.ReadFile(j.Path)
	require.NoError(b, err)
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		if n++; n%100 == 0 { // stays a job of about 1,000
			b.StopTimer()
			require.NoError(b, os.WriteFile(filepath.Join(bench.Dir, "bench-a.json.good"), data, 0o666))
			require.NoError(b, os.WriteFile(j.Path, data, 0o666))
			b.StartTimer()
		}
		_, err := bench.Append(b.Context(), "bench-a", always(note("one more")))
		require.NoError(b, err)
	}
}
