package pattern

import (
	"runtime"
	"sort"
	"sync"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Sample is the only place where a scene becomes samples; n counts frames from
// 0. It refuses a sampling that the raster cannot have.
//
// Rows of a uniform band are painted once for each Comb and field time; all
// others are painted, on every processor, and then shared where they are
// equal.
func Sample(s *Scene, r *timing.Raster, m frame.Sampling, n int) (*frame.Frame, error) {
	if err := m.Check(r); err != nil {
		return nil, err
	}
	f := &frame.Frame{Raster: r, Sampling: m}
	combs := make([]timing.Comb, r.Height())
	spans := make([]timing.Span, r.Height())
	for j := range spans {
		if j == 0 || r.Free {
			combs[j] = r.Comb(j)
		} else {
			combs[j] = combs[0]
		}
		spans[j] = r.Span(j)
	}
	for c := range f.Planes {
		f.Planes[c] = samplePlane(s, r, colorimetry.Component(c), m, n, combs, spans)
	}
	return f, nil
}

// A paintKey tells apart the rows of uniform bands.
type paintKey struct {
	band int
	comb timing.Comb
	t    int
}

type paintJob struct {
	paintKey
	span timing.Span
	dst  []float64
}

func samplePlane(s *Scene, r *timing.Raster, c colorimetry.Component, m frame.Sampling, n int, combs []timing.Comb, spans []timing.Span) frame.Plane {
	across, down := m.Step()
	if c == colorimetry.Y {
		across, down = 1, 1
	}
	height := r.Height() / down
	jobOf := make([]int32, height) // which job paints line k
	var jobs []paintJob
	done := make(map[paintKey]int32)
	for k := range height {
		comb, field := combs[k*down], r.Lines[k].Field // chroma rows alternate between the fields as luma rows do
		a, b := m.Between(int(c), k)
		span := timing.Span{Y: (spans[a].Y + spans[b].Y) / 2, DY: float64(down) * spans[a].DY}
		comb.DX *= float64(across)
		comb.N /= across
		key := paintKey{bandAt(s.Bands, span.Y), comb, n*r.Scan.Fields + field - 1}
		if s.Period <= 1 {
			key.t = 0
		}
		if s.Bands[key.band].Uniform {
			if i, ok := done[key]; ok {
				jobOf[k] = i
				continue
			}
			done[key] = int32(len(jobs))
		}
		jobOf[k] = int32(len(jobs))
		jobs = append(jobs, paintJob{key, span, nil})
	}
	paintAll(s, c, jobs)

	var rows frame.Interner
	rowOf := make([]int32, len(jobs))
	for i := range jobs {
		rowOf[i] = rows.Add(jobs[i].dst)
	}
	p := frame.Plane{Rows: rows.Rows(), Lines: make([]int32, height)}
	for k, i := range jobOf {
		p.Lines[k] = rowOf[i]
	}
	return p
}

// bandAt returns the band that holds y.
func bandAt(bands []Band, y float64) int {
	return min(sort.Search(len(bands), func(i int) bool { return y < bands[i].Bottom }), len(bands)-1)
}

// paintAll paints the rows, in parallel when there are enough of them to gain.
func paintAll(s *Scene, c colorimetry.Component, jobs []paintJob) {
	const few = 16
	workers := 1
	if len(jobs) > few {
		workers = runtime.GOMAXPROCS(0)
	}
	share := (len(jobs) + workers - 1) / workers
	var wg sync.WaitGroup
	for from := 0; from < len(jobs); from += share {
		part := jobs[from:min(from+share, len(jobs))]
		work := func() {
			store := make([]float64, 0)
			for i := range part {
				j := &part[i]
				if len(store) < j.comb.N {
					store = make([]float64, j.comb.N*min(len(part)-i, few))
				}
				j.dst, store = store[:j.comb.N:j.comb.N], store[j.comb.N:]
				s.Bands[j.band].Paint(j.dst, c, j.comb, j.span, j.t)
			}
		}
		if workers == 1 {
			work()
			continue
		}
		wg.Go(work)
	}
	wg.Wait()
}

// blend returns a + k*(b-a), k from 0 to 1.
func blend(a, b, k float64) float64 { return a + float64(k*(b-a)) }
