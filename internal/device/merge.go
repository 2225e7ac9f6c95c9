package device

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// A Merge says how many colors a picture needed, and what became of those that
// the device has no room for.
type Merge struct {
	Needed int     // different colors of the device that the picture asks for
	Room   int     // that it has at once
	Merged int     // colors given up, each for a near one
	Worst  float64 // greatest distance on the wire, mV, from a color given up to what stands for it
	Kept   bool    // the colors of the patches were kept as they are
}

// Words says it in a sentence, or "" where nothing was merged.
func (m *Merge) Words() string {
	if m == nil || m.Merged == 0 {
		return ""
	}
	kept := "those of the named patches are as they should be"
	if !m.Kept {
		kept = "there is no room even for those of the named patches"
	}
	return fmt.Sprintf("the picture needs %d colors and the device has %d at once: %d were merged with near ones, %.1f mV off at worst; %s",
		m.Needed, m.Room, m.Merged, m.Worst, kept)
}

// A blob is a color in use with what it stands for: the weight and the weighted
// mean of the samples that it shows. The error that it makes, all distances
// squared and summed, follows from these to within a constant.
type blob struct {
	id     colorID
	at     point
	weight float64
	mean   point
	keep   bool
	gone   bool
	into   int     // the cheapest to be merged into
	cost   float64 // of it
}

// cost returns the error that is added when a is shown by b.
func cost(a, b *blob) float64 {
	return float64(a.weight * (a.mean.to(b.at) - a.mean.to(a.at)))
}

// merge gives up colors, always the one that adds the least error weighted by
// area, until the rest fits, and then lets every sample choose again among
// them. Colors in keep stay if they fit.
func (l *palette) merge(c *canvas, f *frame.Frame, keep map[colorID]bool, m *Merge) {
	blobs, place := l.blobs(c, f)
	kept := 0
	for _, b := range blobs {
		if keep[b.id] {
			kept++
		}
	}
	m.Kept = kept <= m.Room
	for i := range blobs {
		blobs[i].keep = m.Kept && keep[blobs[i].id]
		if !m.Kept && keep[blobs[i].id] {
			// A small patch counts as much as its share of the colors.
			area := float64(len(c.lines)*len(c.rows[0])) / float64(m.Room)
			blobs[i].weight = max(blobs[i].weight, area)
		}
	}
	for i := range blobs {
		choose(blobs, i)
	}
	for left := len(blobs); left > m.Room; left-- {
		giveUp(blobs)
	}
	l.assign(c, blobs, place, m)
}

// blobs counts what each color in use stands for; place is where its blob is.
func (l *palette) blobs(c *canvas, f *frame.Frame) (blobs []blob, place map[colorID]int) {
	times := make([]float64, len(c.rows))
	for _, n := range c.lines {
		times[n]++
	}
	blobs, place = make([]blob, len(c.order)), make(map[colorID]int, len(c.order))
	for i, id := range c.order {
		blobs[i] = blob{id: id, at: l.at(id)}
		place[id] = i
	}
	for j, row := range c.rows {
		y, cb, cr := f.Triple(c.sources[j])
		var at point
		b := &blobs[0]
		for i, id := range row {
			if i == 0 || y[i] != y[i-1] || cb[i] != cb[i-1] || cr[i] != cr[i-1] {
				at = pointOf(l.wire, colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]})
			}
			if i == 0 || id != row[i-1] {
				b = &blobs[place[id]]
			}
			b.weight += times[j]
			for k := range at {
				b.mean[k] += float64(times[j] * at[k])
			}
		}
	}
	for i := range blobs {
		for k := range blobs[i].mean {
			blobs[i].mean[k] /= blobs[i].weight
		}
	}
	return blobs, place
}

// choose finds the cheapest color into which blob i can be merged.
func choose(blobs []blob, i int) {
	a := &blobs[i]
	a.into, a.cost = -1, math.Inf(1)
	if a.keep {
		return
	}
	for j := range blobs {
		b := &blobs[j]
		if j == i || b.gone {
			continue
		}
		if d := cost(a, b); d < a.cost {
			a.into, a.cost = j, d
		}
	}
}

// giveUp merges the color whose loss adds the least error.
func giveUp(blobs []blob) {
	least := -1
	for i := range blobs {
		if b := &blobs[i]; !b.gone && !b.keep && (least < 0 || b.cost < blobs[least].cost) {
			least = i
		}
	}
	a := &blobs[least]
	b := &blobs[a.into]
	sum := a.weight + b.weight
	for k := range b.mean {
		b.mean[k] = (float64(a.weight*a.mean[k]) + float64(b.weight*b.mean[k])) / sum
	}
	b.weight = sum
	a.gone = true
	choose(blobs, a.into) // it stands for more now
	for i := range blobs {
		if b := &blobs[i]; !b.gone && b.into == least {
			choose(blobs, i)
		}
	}
}

// assign replaces each color given up by the nearest that is left.
func (l *palette) assign(c *canvas, blobs []blob, place map[colorID]int, m *Merge) {
	instead := make([]int, len(blobs))
	for i := range blobs {
		instead[i] = i
		if !blobs[i].gone {
			continue
		}
		m.Merged++
		least := math.Inf(1)
		for j := range blobs {
			if d := blobs[i].at.to(blobs[j].at); !blobs[j].gone && d < least {
				instead[i], least = j, d
			}
		}
		m.Worst = max(m.Worst, math.Sqrt(least))
	}
	for _, row := range c.rows {
		for i, id := range row {
			row[i] = blobs[instead[place[id]]].id
		}
	}
	seen := make(map[colorID]bool)
	c.order = c.order[:0]
	done := make(map[int32]bool)
	for _, n := range c.lines {
		if done[n] {
			continue
		}
		done[n] = true
		for _, id := range c.rows[n] {
			if !seen[id] {
				seen[id] = true
				c.order = append(c.order, id)
			}
		}
	}
}
