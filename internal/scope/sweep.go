package scope

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"backporch/internal/composite"
	"backporch/timing"
)

// A stretch is a piece of one channel to be drawn from the left to the right.
type stretch struct {
	s        []float32
	from, to int     // samples
	left     float64 // place of the left edge of the box, in samples
	weight   int     // how many others are the same, itself counted
	burst    recess  // what of it does not count for how far the picture reaches
}

// A scale turns samples and mV into places in a box.
type scale struct {
	perSample float64 // 1/256 pixel
	perMV     float64 // 1/256 pixel, down for less
	zero      int32   // where 0 mV lies
}

func (c scale) x(sample float64) int32 { return fixed(float64(sample * c.perSample)) }
func (c scale) y(mv float64) int32     { return c.zero - fixed(float64(mv*c.perMV)) }

func fixed(v float64) int32 { return int32(math.Floor(v + 0.5)) }

// origin returns where 0H of a line of frame n lies, in samples of the wave.
// The line may be the one after the last.
func origin(w *composite.Wave, n, line int) float64 {
	lines := int64(w.Scan.Lines)
	at := int64(w.Frame+n)*lines + int64(line) - 1
	first := w.First(at) - w.First(int64(w.Frame)*lines)
	return float64(first) - w.After(at).Float64()
}

// perMicrosecond returns samples a microsecond.
func perMicrosecond(w *composite.Wave) float64 { return w.Rate.Float64() / 1e6 }

// ahead is how long before 0H of a line its picture begins, so that the whole
// edge of its sync is seen; microseconds.
const ahead = 2.5

// lineStretches returns the sweeps of lines of a channel. Those whose samples
// are the same and lie alike are one.
func (s *setUp) lineStretches(channel int, lines []int) (list []stretch) {
	type key struct {
		after timing.Ratio
		hash  uint64
	}
	seen := make(map[key][]int)
	period := s.w.SamplesPerLine().Float64()
	all := s.w.Samples[channel]
	for _, line := range lines {
		at := origin(s.w, s.Frame, line)
		left := at - float64(ahead*perMicrosecond(s.w))
		c := stretch{all, max(0, int(math.Floor(left))), min(len(all)-1, int(math.Ceil(at+period))), left, 1, s.burstTime(at)}
		k := key{s.w.After(int64(s.w.Frame+s.Frame)*int64(s.w.Scan.Lines) + int64(line) - 1), hashOf(hashSeed, c.window())}
		same := false
		for _, i := range seen[k] {
			if same = slices.Equal(list[i].window(), c.window()); same {
				list[i].weight++
				break
			}
		}
		if !same {
			seen[k] = append(seen[k], len(list))
			list = append(list, c)
		}
	}
	return list
}

// window returns all samples on which the trace of the stretch depends.
func (c stretch) window() []float32 {
	return c.s[max(0, c.from-taps):min(len(c.s), c.to+taps)]
}

// hashOf goes on with an FNV-1a hash, word by word. It only sorts: what has the
// same hash is compared.
func hashOf(h uint64, s []float32) uint64 {
	for _, v := range s {
		h = (h ^ uint64(math.Float32bits(v))) * 1099511628211
	}
	return h
}

const hashSeed = 14695981039346656037

// An extent is the lowest and the highest place that a trace reaches, mV.
type extent struct{ low, high float32 }

func (e *extent) take(v float32) { e.low, e.high = min(e.low, v), max(e.high, v) }

// trace returns the paths of stretches, and how far they reach beside the burst.
func (c scale) trace(list []stretch) (paths [][]point, weights []int, reach extent) {
	paths, weights = make([][]point, len(list)), make([]int, len(list))
	reach = extent{float32(math.Inf(1)), float32(math.Inf(-1))}
	var next atomic.Int64
	var wg sync.WaitGroup
	var mu sync.Mutex
	for range min(runtime.GOMAXPROCS(0), 4, len(list)) {
		wg.Go(func() {
			between := newInterpolator()
			var buf []float32
			mine := extent{float32(math.Inf(1)), float32(math.Inf(-1))}
			for {
				i := int(next.Add(1)) - 1
				if i >= len(list) {
					break
				}
				buf = between.points(buf[:0], list[i].s, list[i].from, list[i].to)
				paths[i], weights[i] = c.path(buf, list[i], &mine), list[i].weight
			}
			mu.Lock()
			reach.low, reach.high = min(reach.low, mine.low), max(reach.high, mine.high)
			mu.Unlock()
		})
	}
	wg.Wait()
	return paths, weights, reach
}

// path turns points, fine a sample, into a path that passes through the
// turning points between them as well.
func (c scale) path(v []float32, s stretch, e *extent) []point {
	out := make([]point, 0, len(v)+len(v)/2)
	start := float64(s.from) - s.left
	put := func(i int, off, mv float32) {
		if (mv < e.low || mv > e.high) && !s.burst.holds(float64(s.from)+(float64(i)+float64(off))/fine) {
			e.take(mv)
		}
		out = append(out, point{c.x(start + (float64(i)+float64(off))/fine), c.y(float64(mv))})
	}
	for i, b := range v {
		if i > 0 && i+1 < len(v) {
			if v[i-1] == b && b == v[i+1] { // flat: nothing between the ends
				continue
			}
			if top, off, ok := peak(v[i-1], b, v[i+1]); ok {
				if off < 0 {
					put(i, off, top)
				}
				put(i, 0, b)
				if off > 0 {
					put(i, off, top)
				}
				continue
			}
		}
		put(i, 0, b)
	}
	return out
}
