package crosscheck

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"backporch/internal/oracle"
	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A printedPage is a page that somebody prints.
type printedPage struct {
	name  string
	page  []byte
	pages int      // at most, on either paper
	words []string // that stand on it somewhere
}

// printedPages are those of the worked example, and those of a job that makes
// it hard for them: long words, all inputs, a wide screen, nothing measured.
func printedPages(t *testing.T) (list []printedPage) {
	t.Helper()
	for _, p := range []printedPage{
		{name: "bench-a-sheet.html", pages: 13, words: []string{"Alignment of Bench A", "INVENTED", "Work done", "Not measured", "Next check due", "High voltage at the tube"}},
		{name: "worksheet.html", pages: 15, words: []string{"Worksheet Bench B", "Where the hands go", "High voltage at the tube", "Steps, in order"}},
		{name: "compare-a-b.html", pages: 7, words: []string{"INVENTED", "Cautions", "High voltage at the tube"}},
	} {
		var err error
		p.page, err = os.ReadFile(filepath.Join(testtable.Root(t), "golden", "bench", p.name))
		require.NoError(t, err)
		list = append(list, p)
	}
	const label = "Bench-B-with-a-label-that-has-no-blank-in-it-and-goes-on-for-a-while"
	b := &benchJob{benchCourse: &benchCourse{name: "hard"}, t: t, dir: t.TempDir(), now: time.Date(2026, time.March, 10, 8, 0, 0, 0, time.UTC)}
	b.run("job", "new", "hard", "--label", label, "--tube", "slot-mask", "--size", "70cm", "--aspect", "16:9", "--raster", "576i", "--class", "grade-1",
		"--inputs", "an-input-with-a-long-name-at-the-back=composite,another-input-with-a-long-name=yc,component,rgb", "--remarks", strings.Repeat("supercalibrated", 12))
	for name, args := range map[string][]string{"hard sheet": {"job", "sheet", "hard", "-o", "-"}, "hard worksheet": {"job", "sheet", "hard", "--worksheet", "-o", "-"}} {
		list = append(list, printedPage{name: name, page: []byte(b.run(args...)), pages: 20, words: []string{label[:24], "High voltage at the tube"}})
	}
	return list
}

// TestPrint prints the pages of jobs on both papers: the paper is the one that
// was asked for, pages are not many and none is empty, nothing is cut at the
// edges, and the words are there.
func TestPrint(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser for each page and paper")
	}
	t.Parallel()
	for _, q := range printedPages(t) {
		for _, paper := range oracle.Papers() {
			t.Run(q.name+" on "+paper.Name, func(t *testing.T) {
				t.Parallel()
				p := oracle.PrintPage(t, q.page, paper)
				assert.InDelta(t, paper.Width, p.Width, 0.5, "width of the paper")
				assert.InDelta(t, paper.Height, p.Height, 0.5, "height of the paper")
				assert.LessOrEqual(t, p.Pages, q.pages, "pages")
				var text strings.Builder
				for n := 1; n <= p.Pages; n++ {
					text.WriteString(p.Text(t, n))
					const dpi = 72
					checkInk(t, p.Pixels(t, n, dpi), dpi, n)
				}
				for _, w := range q.words {
					assert.Contains(t, text.String(), w)
				}
			})
		}
	}
}

// checkInk holds a page to a white edge of 5 mm, which printers need (common
// practice: 3 to 6 mm), and to more below its head than the last line of
// something.
func checkInk(t *testing.T, m *oracle.Pixels, dpi, page int) {
	t.Helper()
	const edge, head, least = 5, 16, 12 // mm; the head of a page lies in its margin of 16 mm
	dots := func(mm int) int { return mm * dpi * 10 / 254 }
	rows := 0 // with ink
	for y := range m.H {
		inked := false
		for x := range m.W {
			c := m.At(x, y)
			if int(min(c[0], c[1], c[2])) >= m.Max*9/10 {
				continue
			}
			if min(x, m.W-1-x) < dots(edge) || min(y, m.H-1-y) < dots(edge) {
				t.Fatalf("page %d: ink within %d mm of the edge, at %d mm across and %d mm down", page, edge, x*254/dpi/10, y*254/dpi/10)
			}
			inked = true
		}
		if inked && y > dots(head) {
			rows++
		}
	}
	assert.Greater(t, rows, dots(least), "page %d: rows with ink; it is empty, or has a line or two alone", page)
}

// TestPageOnPhone: on a screen as narrow as a telephone's nothing has to be
// scrolled sideways.
func TestPageOnPhone(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser for each page")
	}
	t.Parallel()
	for _, q := range printedPages(t) {
		t.Run(q.name, func(t *testing.T) {
			t.Parallel()
			const window = 400
			assert.LessOrEqual(t, oracle.ScrollWidth(t, q.page, window), window, "pixels wide")
		})
	}
}

// TestDrawingsAreWhole: the words of drawings lie within them, on a page as wide
// as paper's and on a telephone.
func TestDrawingsAreWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser for each page")
	}
	t.Parallel()
	for _, q := range printedPages(t) {
		t.Run(q.name, func(t *testing.T) {
			t.Parallel()
			for _, width := range []int{680, 400} { // pixels; 180 mm are 680
				assert.Empty(t, oracle.SpilledWords(t, q.page, width), "%d pixels wide", width)
			}
		})
	}
}
