package device

import (
	"math"
	"sort"

	"backporch/colorimetry"
)

// A colorID is a color of a device: its codes of R', G' and B' in a byte each,
// or its place in a fixed palette.
type colorID uint32

func idOf(c [3]int) colorID { return colorID(c[0]<<16 | c[1]<<8 | c[2]) }

func (id colorID) codes() [3]int { return [3]int{int(id >> 16), int(id >> 8 & 255), int(id & 255)} }

// tied is the square of mV within which two distances are the same: what adding
// in another order makes of a color halfway between two.
const tied = 1e-9

// A palette finds the nearest of a device's colors on a wire.
type palette struct {
	color *Color
	wire  *colorimetry.Family
	known map[colorimetry.Signal]colorID

	// Of a device with channels: its levels, what each adds to the point of
	// black, and how far from a target in one channel a color at distance 1 can
	// lie at most.
	levels [3][]float64
	adds   [3][]point
	black  point
	spread [3]float64

	inks []point // of a fixed palette
}

// palette returns the colors of the device as they stand on a wire.
func (p *Profile) palette(wire *colorimetry.Family) *palette {
	l := &palette{color: &p.Color, wire: wire, known: make(map[colorimetry.Signal]colorID)}
	if len(p.Color.Fixed) > 0 {
		for _, ink := range p.Color.Fixed {
			l.inks = append(l.inks, pointOf(wire, ink.Signal))
		}
		return l
	}
	l.black = pointOf(wire, colorimetry.Signal{})
	var column [3]point // what full level of a channel adds
	for i := range column {
		var v [3]float64
		v[i] = 1
		full := pointOf(wire, colorimetry.FromRGB(v[0], v[1], v[2]))
		for k := range full {
			column[i][k] = full[k] - l.black[k]
		}
		l.levels[i] = p.Color.table(i)
		for _, level := range l.levels[i] {
			var add point
			for k := range add {
				add[k] = float64(column[i][k] * level)
			}
			l.adds[i] = append(l.adds[i], add)
		}
	}
	l.spread = spreads(column)
	return l
}

// table returns what each code of a channel gives.
func (c *Color) table(channel int) []float64 {
	if t := c.Levels[channel]; t != nil {
		return t
	}
	t := make([]float64, 1<<c.Bits[channel])
	for i := range t {
		t[i] = float64(i) / float64(len(t)-1)
	}
	return t
}

// spreads returns, for the metric that three columns make, the greatest change
// of each coordinate within distance 1: the root of the diagonal of the inverse
// of their Gram matrix. With it a box around a target holds every color that
// is as near as one already found.
func spreads(column [3]point) (out [3]float64) {
	var m colorimetry.Matrix
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				m[i][j] += float64(column[i][k] * column[j][k])
			}
		}
	}
	m = m.Inverse()
	for i := range out {
		out[i] = math.Sqrt(m[i][i])
	}
	return out
}

// nearest returns the color of least error on the wire: no other of the device
// is nearer to s. Of two equally near it is the one of more luma. It remembers.
func (l *palette) nearest(s colorimetry.Signal) colorID {
	if id, ok := l.known[s]; ok {
		return id
	}
	var id colorID
	if l.inks != nil {
		id = l.nearestInk(pointOf(l.wire, s))
	} else {
		id = l.search(s)
	}
	l.known[s] = id
	return id
}

func (l *palette) nearestInk(at point) colorID {
	best := 0
	for i, ink := range l.inks {
		d, least := ink.to(at), l.inks[best].to(at)
		if d < least-tied || d < least+tied && l.color.Fixed[i].Signal.Y > l.color.Fixed[best].Signal.Y {
			best = i
		}
	}
	return colorID(best)
}

// search goes through every color of the box that must hold the nearest.
func (l *palette) search(s colorimetry.Signal) colorID {
	at := pointOf(l.wire, s)
	r, g, b := s.RGB()
	target := [3]float64{r, g, b}
	best := [3]int{closest(l.levels[0], r), closest(l.levels[1], g), closest(l.levels[2], b)}
	least := l.walk(&best, at)

	var from, to [3]int // a half-open range of codes in each channel
	reach := math.Sqrt(least) + 1e-6
	for i, levels := range l.levels {
		d := float64(reach * l.spread[i])
		from[i] = sort.SearchFloat64s(levels, target[i]-d)
		to[i] = sort.SearchFloat64s(levels, target[i]+d)
	}
	// From the top down, so that of equals the brighter is met first.
	for x := to[0] - 1; x >= from[0]; x-- {
		for y := to[1] - 1; y >= from[1]; y-- {
			for z := to[2] - 1; z >= from[2]; z-- {
				c := [3]int{x, y, z}
				d := l.point(c).to(at)
				if d < least-tied || d < least+tied && l.point(c)[0] > l.point(best)[0]+tied {
					best, least = c, d
				}
			}
		}
	}
	return idOf(best)
}

// walk moves c to better neighbors until there is none, and returns the square
// of its distance.
func (l *palette) walk(c *[3]int, at point) float64 {
	least := l.point(*c).to(at)
	for better := true; better; {
		better = false
		for i := range c {
			for _, step := range [2]int{-1, 1} {
				n := *c
				n[i] += step
				if n[i] < 0 || n[i] >= len(l.levels[i]) {
					continue
				}
				if d := l.point(n).to(at); d < least-tied {
					*c, least, better = n, d, true
				}
			}
		}
	}
	return least
}

// closest returns the place of the level nearest to v in a rising table.
func closest(levels []float64, v float64) int {
	n := sort.SearchFloat64s(levels, v)
	if n == len(levels) || n > 0 && v-levels[n-1] < levels[n]-v {
		n--
	}
	return n
}

// point returns where three codes lie on the wire.
func (l *palette) point(c [3]int) point {
	p := l.black
	for i, n := range c {
		for k := range p {
			p[k] += l.adds[i][n][k]
		}
	}
	return p
}

// at returns where a color lies on the wire.
func (l *palette) at(id colorID) point {
	if l.inks != nil {
		return l.inks[id]
	}
	return l.point(id.codes())
}

// rgb returns what shows a color in a picture file: round(255 n / top) of a
// code n.
func (l *palette) rgb(id colorID) (c [3]uint8) {
	if l.inks != nil {
		return l.color.Fixed[id].RGB
	}
	for i, n := range id.codes() {
		top := len(l.levels[i]) - 1
		c[i] = uint8((n*255 + top/2) / top)
	}
	return c
}
