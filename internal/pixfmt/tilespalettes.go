package pixfmt

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
)

// A colorSet is a set of the picture's numbers of colors, a bit each.
type colorSet []uint64

func (s colorSet) add(v uint16)    { s[v/64] |= 1 << (v % 64) }
func (s colorSet) remove(v uint16) { s[v/64] &^= 1 << (v % 64) }
func (s colorSet) len() (n int) {
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// lacking returns how many members of o are not in s.
func (s colorSet) lacking(o colorSet) (n int) {
	for i, w := range o {
		n += bits.OnesCount64(w &^ s[i])
	}
	return n
}

func (s colorSet) join(o colorSet) {
	for i, w := range o {
		s[i] |= w
	}
}

func (s colorSet) members() (list []uint16) {
	for i, w := range s {
		for ; w != 0; w &= w - 1 {
			list = append(list, uint16(64*i+bits.TrailingZeros64(w)))
		}
	}
	return list
}

// An assignment is a division of colors among palettes.
type assignment struct {
	shared int // the color that is number 0 of all palettes; -1: none
	bins   []colorSet
	of     [][]int // of each tile, the palettes that have all its colors
}

// palettes returns the colors of each palette by number.
func (a *assignment) palettes() [][]uint16 {
	list := make([][]uint16, len(a.bins))
	for i, b := range a.bins {
		if a.shared >= 0 {
			list[i] = append(list[i], uint16(a.shared))
		}
		list[i] = append(list[i], b.members()...)
	}
	return list
}

// assign divides the colors of the blocks among the palettes.
func (s *TileSet) assign(cut []block, across, colors int) (*assignment, error) {
	sets := make([]colorSet, len(cut))
	inTiles := make([]int, colors) // how many tiles have a color
	for i := range cut {
		sets[i] = make(colorSet, (colors+63)/64)
		for k, v := range cut[i] {
			if k == 0 || v != cut[i][k-1] {
				sets[i].add(v)
			}
		}
		for _, v := range sets[i].members() {
			inTiles[v]++
		}
	}
	if !s.Shared {
		return s.divide(sets, -1, across)
	}
	a, err := s.divide(sets, 0, across)
	if err == nil {
		return a, nil
	}
	most := 0
	for v, n := range inTiles {
		if n > inTiles[most] {
			most = v
		}
	}
	if most == 0 {
		return nil, err
	}
	if a, second := s.divide(sets, most, across); second == nil {
		return a, nil
	}
	return nil, err
}

// divide is assign with the shared color chosen; -1: none.
func (s *TileSet) divide(sets []colorSet, shared, across int) (*assignment, error) {
	a := &assignment{shared: shared}
	room := 1 << s.Bits
	own := make([]colorSet, len(sets)) // without the shared color
	for i, set := range sets {
		own[i] = slices.Clone(set)
		if shared >= 0 {
			own[i].remove(uint16(shared))
		}
	}
	if shared >= 0 {
		room--
	}
	for i, set := range own {
		if n := set.len(); n > room {
			return nil, &BudgetError{What: "colors", Needed: n, Room: room, Where: inTile(i, across, shared), Remedy: s.fewerColors()}
		}
	}
	need := maximal(own)
	a.bins = bestFit(need, room)
	if len(a.bins) > s.Palettes {
		found := search(need, room, s.Palettes)
		if found == nil {
			return nil, &BudgetError{What: fmt.Sprintf("palettes of %d colors", 1<<s.Bits), Needed: len(a.bins), Room: s.Palettes, Remedy: s.fewerColors()}
		}
		a.bins = found
	}
	if len(a.bins) == 0 { // the shared color alone
		a.bins = []colorSet{make(colorSet, len(own[0]))}
	}
	a.of = make([][]int, len(own))
	for i, set := range own {
		for k, b := range a.bins {
			if b.lacking(set) == 0 {
				a.of[i] = append(a.of[i], k)
			}
		}
	}
	return a, nil
}

// inTile says where a tile is, for a message.
func inTile(i, across, shared int) string {
	s := fmt.Sprintf(" in the tile at column %d, line %d", i%across*TileSide, i/across*TileSide)
	if shared >= 0 {
		s += " besides the one that all palettes share"
	}
	return s
}

// maximal returns the different sets that are no part of another, the largest
// first.
func maximal(sets []colorSet) (list []colorSet) {
	seen := make(map[string]bool)
	var distinct []colorSet
	key := make([]byte, 0, 8*len(sets[0]))
	for _, s := range sets {
		key = key[:0]
		for _, w := range s {
			for k := range 8 {
				key = append(key, byte(w>>(8*k)))
			}
		}
		if !seen[string(key)] {
			seen[string(key)] = true
			distinct = append(distinct, s)
		}
	}
	slices.SortStableFunc(distinct, func(a, b colorSet) int { return cmp.Compare(b.len(), a.len()) })
	for _, s := range distinct {
		if s.len() > 0 && !slices.ContainsFunc(list, func(larger colorSet) bool { return larger.lacking(s) == 0 }) {
			list = append(list, s)
		}
	}
	return list
}

// bestFit puts each set where the fewest colors must be added, of equal ones
// where the least room is left, and opens a palette when it fits nowhere.
func bestFit(sets []colorSet, room int) (bins []colorSet) {
	for _, s := range sets {
		best, fewest, fullest := -1, 0, 0
		for i, b := range bins {
			more, full := b.lacking(s), b.len()
			if full+more > room {
				continue
			}
			if best < 0 || more < fewest || more == fewest && full > fullest {
				best, fewest, fullest = i, more, full
			}
		}
		if best < 0 {
			bins = append(bins, slices.Clone(s))
			continue
		}
		bins[best].join(s)
	}
	return bins
}

// mostSteps bounds the search: some ten milliseconds.
const mostSteps = 50_000

// search looks for a division of the sets among so many palettes by trying
// all, the likeliest first. It returns nil if there is none, or if it has not
// found one after mostSteps placements.
func search(sets []colorSet, room, palettes int) []colorSet {
	all := make(colorSet, len(sets[0]))
	for _, s := range sets {
		all.join(s)
	}
	if all.len() > palettes*room {
		return nil
	}
	var bins []colorSet
	steps := 0
	var place func(i int) bool
	place = func(i int) bool {
		if i == len(sets) {
			return true
		}
		if steps++; steps > mostSteps {
			return false
		}
		type option struct{ bin, more int }
		var options []option
		for k, b := range bins {
			more := b.lacking(sets[i])
			if more == 0 {
				return place(i + 1) // nothing can be gained elsewhere
			}
			if b.len()+more <= room {
				options = append(options, option{k, more})
			}
		}
		slices.SortStableFunc(options, func(a, b option) int { return cmp.Compare(a.more, b.more) })
		for _, o := range options {
			before := bins[o.bin]
			bins[o.bin] = slices.Clone(before)
			bins[o.bin].join(sets[i])
			if place(i + 1) {
				return true
			}
			bins[o.bin] = before
		}
		if len(bins) < palettes {
			bins = append(bins, slices.Clone(sets[i]))
			if place(i + 1) {
				return true
			}
			bins = bins[:len(bins)-1]
		}
		return false
	}
	if place(0) {
		return bins
	}
	return nil
}
