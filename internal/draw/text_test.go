package draw

import (
	"image"
	"math"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
)

var styles = []Style{
	{Size: 9}, {Size: 16}, {Size: 26, Bold: true}, {Size: 33.3}, {Size: 70, Bold: true},
}

const prose = "Black level: raise brightness until the third stripe just shows, then back. Qualitätsprüfung, ±2 %"

func TestWidthIsWhereInkEnds(t *testing.T) {
	for _, st := range styles {
		w := New(1, 1, Paper).Width(prose, st)
		v := New(w+200, 200, Paper)
		used := v.Text(image.Rect(50, 20, w+50, 200), prose, st)
		ink := inkBox(v.img)
		assert.True(t, ink.In(used), "%+v: ink %v, said %v", st, ink, used)
		assert.Equal(t, w, used.Dx())
		assert.InDelta(t, w, ink.Dx(), st.Size/4, "%+v: the width is that of the text", st)
		assert.Equal(t, v.LineHeight(st), used.Dy())
	}
}

func TestEveryLetterFitsTheLine(t *testing.T) {
	// Letters with the tallest accents and the deepest descenders of the fonts
	// must not be cut at the line's box: drawn free, their ink lies within.
	for _, st := range styles {
		v := New(1000, 300, Paper)
		h := v.LineHeight(st)
		f := v.face(st)
		for _, s := range []string{"Åß", "Ĝğ", "jgpqy", "(|)", "Ñç"} {
			b, _ := font.BoundString(f, s)
			top, bottom := f.Metrics().Ascent.Ceil()+b.Min.Y.Floor(), f.Metrics().Ascent.Ceil()+b.Max.Y.Ceil()
			assert.GreaterOrEqual(t, top, 0, "%q at %v", s, st.Size)
			assert.LessOrEqual(t, bottom, h, "%q at %v", s, st.Size)
		}
	}
}

func TestFit(t *testing.T) {
	v := New(1, 1, Paper)
	for _, st := range styles {
		full := v.Width(prose, st)
		last := -1
		for width := 0; width <= full+5; width += 1 + full/200 {
			got := v.Fit(prose, width, st)
			require.LessOrEqual(t, v.Width(got, st), width)
			if width >= full {
				require.Equal(t, prose, got)
				continue
			}
			head, cut := strings.CutSuffix(got, ellipsis)
			require.True(t, cut || got == "", "%q", got)
			require.True(t, strings.HasPrefix(prose, head))
			require.GreaterOrEqual(t, len(head), last, "a wider box shows no less")
			last = len(head)
		}
	}
	assert.Empty(t, v.Fit("word", 1, Style{Size: 20}))
	assert.Empty(t, v.Fit("", 10, Style{Size: 20}))
}

func TestWrap(t *testing.T) {
	v := New(1, 1, Paper)
	for _, st := range styles {
		least := v.Width("Qualitätsprüfung,", st)
		for width := least; width < 1200; width += 37 {
			lines := v.Wrap(prose, width, 0, st)
			assert.Equal(t, prose, strings.Join(lines, " "), "nothing is lost")
			for i, l := range lines {
				assert.LessOrEqual(t, v.Width(l, st), width)
				if i > 0 { // greedy: the first word would not have fitted above
					word, _, _ := strings.Cut(l, " ")
					assert.Greater(t, v.Width(lines[i-1]+" "+word, st), width)
				}
			}
			two := v.Wrap(prose, width, 2, st)
			assert.LessOrEqual(t, len(two), 2)
			if len(lines) > 2 {
				assert.True(t, strings.HasSuffix(two[1], ellipsis), "%q", two)
			} else {
				assert.Equal(t, lines, two)
			}
		}
		for width := 0; width < least; width += 3 { // inside words too
			lines := v.Wrap(prose, width, 0, st)
			assert.Equal(t, strings.ReplaceAll(prose, " ", ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
			for _, l := range lines {
				assert.True(t, v.Width(l, st) <= width || len([]rune(l)) == 1, "%q in %d", l, width)
			}
		}
	}
	assert.Empty(t, v.Wrap("", 100, 0, styles[0]))
	assert.Empty(t, v.Wrap(" \n ", 100, 2, styles[0]))
	assert.Equal(t, []string{"a b"}, v.Wrap(" a\n b ", 100, 2, styles[0]))
}

func TestTextStaysInItsBox(t *testing.T) {
	v := New(400, 220, Paper)
	for _, st := range styles {
		for _, st.Align = range []Align{Left, Center, Right} {
			for _, st.VAlign = range []VAlign{Top, Middle, Bottom} {
				for _, box := range []image.Rectangle{
					image.Rect(40, 30, 340, 170), image.Rect(40, 30, 90, 110), image.Rect(40, 30, 44, 200), image.Rect(40, 30, 340, 38),
				} {
					v.Fill(v.Bounds(), Paper)
					used := v.Text(box, prose, st)
					ink := inkBox(v.img)
					require.True(t, used.In(box), "%+v %v", st, box)
					require.True(t, ink.In(used), "%+v %v: ink %v outside %v", st, box, ink, used)
					if box.Dy() < v.LineHeight(st) {
						require.True(t, ink.Empty(), "no half lines")
					}
				}
			}
		}
	}
}

func TestTextAlign(t *testing.T) {
	box := image.Rect(50, 40, 350, 160)
	for _, tt := range []struct {
		a    Align
		v    VAlign
		x, y float64 // share of the free space before the text
	}{{Left, Top, 0, 0}, {Center, Middle, 0.5, 0.5}, {Right, Bottom, 1, 1}} {
		st := Style{Size: 20, Align: tt.a, VAlign: tt.v}
		used := New(400, 200, Paper).Text(box, "Bench B", st)
		assert.InDelta(t, float64(box.Dx()-used.Dx())*tt.x, used.Min.X-box.Min.X, 1)
		assert.InDelta(t, float64(box.Dy()-used.Dy())*tt.y, used.Min.Y-box.Min.Y, 1)
	}
}

func TestTextOddities(t *testing.T) {
	v := New(50, 50, Paper)
	for _, size := range []float64{0, -3, math.NaN(), math.Inf(1), 1e9} {
		v.Text(image.Rect(0, 0, 50, 50), "x", Style{Size: size})
	}
	assert.True(t, v.Text(image.Rect(10, 10, 10, 40), "x", styles[0]).Empty())
	assert.True(t, v.Text(image.Rect(100, 100, 140, 140), "x", styles[0]).Empty(), "outside the canvas")
	v.Text(image.Rect(0, 0, 50, 50), "\xff\x00\u202e", styles[0])
}

// Characters that the pages use must be in both fonts, not an empty box.
func TestGlyphs(t *testing.T) {
	for name, load := range map[string]func() (*sfnt.Font, error){"regular": regular, "bold": bold} {
		f, err := load()
		require.NoError(t, err)
		var buf sfnt.Buffer
		chars := "°µμ×±–—…²³½→←≤≥≈Ωäöüßéèñçå'’"
		for r := rune(' '); r < 127; r++ {
			chars += string(r)
		}
		for _, r := range chars {
			i, err := f.GlyphIndex(&buf, r)
			require.NoError(t, err)
			if !unicode.IsSpace(r) {
				assert.NotZero(t, i, "%s has no %q (U+%04X)", name, r, r)
			}
		}
	}
}
