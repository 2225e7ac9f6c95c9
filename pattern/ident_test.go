package pattern

import (
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const identText = "BENCH A 480I SETUP 7.5"

// captioned is a view with its sampling.
type captioned struct {
	name     string
	view     View
	sampling frame.Sampling
}

// captionViews are the views on which captions are tried: both systems, with
// fields and without, every kind of edge, both aspects, the three codings.
func captionViews(t testing.TB) (list []captioned) {
	add := func(raster string, k *colorimetry.Coding, m frame.Sampling, e Edges, aspect float64) {
		r := timing.Lookup(raster)
		require.NoError(t, m.Check(r))
		v := NewView(r, k, m, e)
		v.Aspect = aspect
		list = append(list, captioned{raster + " " + k.Name + " " + e.String(), v, m})
	}
	add("480i", colorimetry.YCbCr10, frame.S422, Shaped, Aspect4x3)
	add("240p", colorimetry.RGB8, frame.S444, Hard, Aspect4x3)
	if testing.Short() {
		return list
	}
	add("576i", colorimetry.YCbCr8, frame.S420Field, Shaped, Aspect16x9)
	add("240p", colorimetry.YCbCr8, frame.S420, Fast, Aspect4x3)
	add("480i-dv", colorimetry.YCbCr8, frame.S411, Shaped, Aspect4x3)
	add("576i-dv", colorimetry.YCbCr8, frame.S420DV, Shaped, Aspect16x9)
	add("480i-dv", colorimetry.RGB8, frame.S444, Shaped, Aspect16x9)
	add("486i", colorimetry.YCbCr10, frame.S422, Hard, Aspect4x3)
	add("288p", colorimetry.RGB8, frame.S444, Shaped, Aspect4x3)
	setup := NewView(timing.Lookup("480i"), colorimetry.YCbCr8, frame.S422, Shaped)
	setup.Plan = colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}
	return append(list, captioned{"480i with setup", setup, frame.S422})
}

// TestIdentDisturbsNoPatch: with a caption every sample inside every patch is
// what it is without, in a second frame too if it moves; what differs lies outside all
// patches and within the shown picture; and every level has a code.
func TestIdentDisturbsNoPatch(t *testing.T) {
	for _, e := range All() {
		t.Run(e.Name, func(t *testing.T) {
			for _, c := range captionViews(t) {
				p, _ := e.New()
				plain, err := p.Scene(c.view)
				require.NoError(t, err)
				s, err := WithIdent(p, identText).Scene(c.view)
				require.NoError(t, err, c.name)
				require.Len(t, s.Patches, len(plain.Patches))
				assert.Equal(t, plain.Period, s.Period)
				for i, q := range s.Patches {
					was := plain.Patches[i]
					share := (q.X1 - q.X0) / (was.X1 - was.X0) * (q.Y1 - q.Y0) / (was.Y1 - was.Y0)
					assert.GreaterOrEqual(t, share, 2.0/3-1e-9, "%s: patch %s", c.name, q.Name)
				}
				for n := range min(2, s.Period) {
					checkCaption(t, c, plain, s, n)
				}
			}
		})
	}
}

func checkCaption(t *testing.T, c captioned, plain, s *Scene, n int) {
	t.Helper()
	fault := func(format string, args ...any) {
		t.Helper()
		t.Errorf(c.name+": "+format, args...)
	}
	checkBands(fault, s)
	before, err := Sample(plain, c.view.Shown, c.sampling, n)
	require.NoError(t, err)
	after, err := Sample(s, c.view.Shown, c.sampling, n)
	require.NoError(t, err)
	checkLegal(fault, after, c.view)
	changed := 0
	shown := c.view.Shown.Shown()
	for k := range after.Planes {
		across, down := c.sampling.Step()
		if k == 0 {
			across, down = 1, 1
		}
		comb := c.view.Shown.Comb(0)
		for j := range after.Planes[k].Lines {
			y := c.view.Shown.Span(j * down).Y
			if down == 2 {
				y = chromaY(c.view.Shown, c.sampling, colorimetry.Component(k), j)
			}
			a, b := before.Planes[k].Row(j), after.Planes[k].Row(j)
			for i := range a {
				if a[i] == b[i] {
					continue
				}
				changed++
				x := comb.At(i * across)
				if x < shown.X0 || x > shown.X1 || y < shown.Y0 || y > shown.Y1 {
					fault("the caption leaves the picture at %v, %v", x, y)
					return
				}
				for _, p := range s.Patches {
					if in := p.Interior(c.view); x > in.X0 && x < in.X1 && y > p.Y0 && y < p.Y1 {
						fault("frame %d: the caption changes %v of patch %s at sample %d of row %d", n, colorimetry.Component(k), p.Name, i, j)
						return
					}
				}
			}
		}
	}
	if changed == 0 {
		fault("there is no caption")
	}
}

// TestIdentReads: the letters of a caption on flat gray are those of its text,
// cell by cell.
func TestIdentReads(t *testing.T) {
	v := NewView(timing.Lookup("480i"), colorimetry.YCbCr10, frame.S422, Hard)
	p, err := Parse("flat color=gray-50")
	require.NoError(t, err)
	s, err := WithIdent(p, "q7").Scene(v)
	require.NoError(t, err)
	f, err := Sample(s, v.Shown, frame.S422, 0)
	require.NoError(t, err)
	top, left, right := -1, math.MaxInt, 0
	lit := func(i, j int) bool { return f.Planes[0].Row(j)[i] != 0.5 }
	for j := range f.Raster.Height() {
		for i := range f.Raster.Width {
			if lit(i, j) {
				left, right = min(left, i), max(right, i)
				if top < 0 {
					top = j
				}
			}
		}
	}
	want := []string{ // own letters Q and 7
		".###..#####", "#...#.....#", "#...#....#.", "#...#...#..", "#.#.#..#...", "#..#...#...", ".##.#..#...",
	}
	wide := (right - left + 1) / len(want[0])
	for line, cells := range want {
		got := ""
		for i := range cells {
			if lit(left+i*wide, top+2*line) {
				got += "#"
			} else {
				got += "."
			}
			assert.Equal(t, lit(left+i*wide, top+2*line), lit(left+i*wide, top+2*line+1), "both fields")
		}
		assert.Equal(t, cells, got)
	}
	assert.Equal(t, 0.75, f.Planes[0].Row(top)[left+wide], "discreet")
}

func TestIdentRefuses(t *testing.T) {
	v := NewView(timing.Lookup("480i"), colorimetry.YCbCr10, frame.S422, Shaped)
	for text, want := range map[string]string{
		"":    "ident: the caption is empty; use some text",
		"a~b": "ident: there is no letter for '~'; use A to Z, 0 to 9, spaces and - . / + : = , ( ) % # _ ! ? * & '",
		"THIS-ONE-WORD-IS-FAR-TOO-LONG-FOR-ANY-LINE-OF-A-PICTURE-THAT-IS-SEVEN-HUNDRED-AND-TWENTY-WIDE": "finds no place beside the patches of this picture; use a shorter text",
	} {
		p, err := Parse("flat")
		require.NoError(t, err)
		_, err = WithIdent(p, text).Scene(v)
		assert.ErrorContains(t, err, want)
	}
}

// TestWrap: lines break between words only, and lose none.
func TestWrap(t *testing.T) {
	for n, want := range map[int][]string{
		1: {"bench a 480i setup 7.5"}, 2: {"bench a", "480i setup 7.5"}, 3: {"bench a", "480i", "setup 7.5"},
	} {
		assert.Equal(t, want, wrap("bench a 480i setup 7.5", n))
	}
}

// TestIdentFlatFirst: a plate goes where the picture is flat, and not over the
// end of a bar, where there is such a place.
func TestIdentFlatFirst(t *testing.T) {
	for name, part := range map[string]string{
		"window": "surround below", "streaking": "ground below", "one-to-one": "below black",
		"pulse-bar": "base line", "chroma-steps": "pedestal below",
	} {
		v := NewView(timing.Lookup("480i"), colorimetry.RGB8, frame.S444, Shaped)
		p, err := Parse(name)
		require.NoError(t, err)
		s, err := WithIdent(p, name+" 480i as player").Scene(v)
		require.NoError(t, err)
		assert.Contains(t, s.Notes, "The caption takes a part of: "+part+". Their named areas are smaller for it.")
	}
}

// TestIdentKeepsScales: no caption covers numerals, scales or wedges where
// there is another place, also in patches that become smaller for it.
func TestIdentKeepsScales(t *testing.T) {
	for _, name := range []string{"sweep", "sweep scale=log", "line-pairs", "tv-lines"} {
		for _, raster := range []string{"480i", "240p", "576i"} {
			v := NewView(timing.Lookup(raster), colorimetry.RGB8, frame.S444, Shaped)
			p, err := Parse(name)
			require.NoError(t, err)
			plain, err := p.Scene(v)
			require.NoError(t, err)
			s, err := WithIdent(p, name[:5]+" "+raster+" as player").Scene(v)
			require.NoError(t, err)
			before, err := Sample(plain, v.Shown, frame.S444, 0)
			require.NoError(t, err)
			after, err := Sample(s, v.Shown, frame.S444, 0)
			require.NoError(t, err)
			rows := 0
			for j := range v.Shown.Height() {
				for _, k := range plain.keep {
					if y := v.Shown.Span(j).Y; y > k.Y0 && y < k.Y1 {
						rows++
						was, is := before.Planes[0].Row(j), after.Planes[0].Row(j)
						for i := range was {
							if was[i] != was[0] { // not the ground, of which a caption may take some
								require.Equal(t, was[i], is[i], "%s at %s, sample %d of row %d", name, raster, i, j)
							}
						}
					}
				}
			}
			assert.NotZero(t, rows, "%s at %s", name, raster)
		}
	}
}
