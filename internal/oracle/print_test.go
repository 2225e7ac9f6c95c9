package oracle

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestPrintPage: what the other tests rest on is seen: the paper, the number of
// pages, ink and text on the right one, and a page that is too wide.
func TestPrintPage(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	t.Parallel()
	const page = `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>x</title><style>@page { margin: 20mm; } body { margin: 0; }
.box { width: 100mm; height: 50mm; background: #000; print-color-adjust: exact; } .next { break-before: page; }</style></head>
<body><div class="box"></div><p class="next">second sheet</p></body></html>`
	for _, paper := range Papers() {
		p := PrintPage(t, []byte(page), paper)
		assert.Equal(t, 2, p.Pages, paper.Name)
		assert.InDelta(t, paper.Width, p.Width, 0.5, paper.Name)
		assert.InDelta(t, paper.Height, p.Height, 0.5, paper.Name)
		assert.Contains(t, p.Text(t, 2), "second sheet", paper.Name)
		assert.NotContains(t, p.Text(t, 1), "second sheet", paper.Name)
		m := p.Pixels(t, 1, 254) // ten dots a millimeter
		for _, dot := range []struct {
			x, y int // mm
			max  int
		}{{21, 21, 0}, {119, 69, 0}, {19, 19, 255}, {121, 50, 255}, {50, 71, 255}} {
			assert.Equal(t, uint16(dot.max), m.At(10*dot.x, 10*dot.y)[0], "%s: %d mm across, %d mm down", paper.Name, dot.x, dot.y)
		}
		png := ReadPNG(t, p.PNG(t, 1, 72))
		assert.InDelta(t, paper.Width/25.4*72, png.W, 1, paper.Name)
	}
	assert.Equal(t, 400, ScrollWidth(t, []byte(page), 400), "a box of 100 mm, 378 pixels, in a frame of 400")
	assert.Equal(t, 378, ScrollWidth(t, []byte(page), 300), "the same in a frame of 300")
	const drawing = `<svg viewBox="0 0 100 50" style="width: 300px" font-size="5"><text x="5" y="20">inside &amp; whole</text><text x="90" y="20">runs out</text>
<text font-size="10" transform="translate(98 49) rotate(-90)">much too high</text><text x="40" y="38">one</text><text x="44" y="39">two</text><text x="40" y="44">below</text></svg></body>`
	drawn := strings.Replace(page, "</body>", drawing, 1)
	assert.Equal(t, []string{"cut: runs out", "cut: much too high", "over each other: runs out, much too high", "over each other: one, two"}, SpilledWords(t, []byte(drawn), 400))
	assert.Empty(t, SpilledWords(t, []byte(page), 400))
}
