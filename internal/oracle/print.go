package oracle

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/png"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Paper is a size of paper, mm.
type Paper struct {
	Name          string // as CSS names it
	Width, Height float64
}

// Papers are the two that pages are made for: ISO 216 A4, and the sheet of 8 1/2
// by 11 inches.
func Papers() []Paper { return []Paper{{"A4", 210, 297}, {"letter", 215.9, 279.4}} }

// Print is a page as a browser prints it, read by people who have never seen
// the page: poppler's tools.
type Print struct {
	Paper         Paper
	Pages         int
	Width, Height float64 // of the first page, mm
	pdf           string
}

// PrintPage prints an HTML page on paper with chromium, without head and foot of
// the browser's own. The paper is said by a style that is added to the page.
func PrintPage(t testing.TB, page []byte, paper Paper) *Print {
	t.Helper()
	for _, tool := range []string{"chromium", "pdfinfo", "pdftoppm", "pdftotext"} {
		Need(t, tool)
	}
	dir := t.TempDir()
	style := fmt.Sprintf("<style>@page { size: %s; }</style></head>", paper.Name)
	p := &Print{Paper: paper, pdf: filepath.Join(dir, "page.pdf")}
	browse(t, dir, withHead(t, page, style), "--print-to-pdf="+p.pdf, "--no-pdf-header-footer")
	info := string(poppler(t, "pdfinfo", p.pdf))
	pages := regexp.MustCompile(`(?m)^Pages:\s+(\d+)$`).FindStringSubmatch(info)
	size := regexp.MustCompile(`(?m)^Page size:\s+([\d.]+) x ([\d.]+) pts`).FindStringSubmatch(info)
	if pages == nil || size == nil {
		t.Fatalf("oracle: pdfinfo does not tell pages and size: %s", info)
	}
	const point = 25.4 / 72 // mm
	p.Pages, _ = strconv.Atoi(pages[1])
	w, _ := strconv.ParseFloat(size[1], 64)
	h, _ := strconv.ParseFloat(size[2], 64)
	p.Width, p.Height = w*point, h*point
	return p
}

// Text is the text of a page, from 1, as it lies on paper.
func (p *Print) Text(t testing.TB, page int) string {
	t.Helper()
	n := strconv.Itoa(page)
	return string(poppler(t, "pdftotext", "-layout", "-f", n, "-l", n, p.pdf, "-"))
}

// Pixels is a page, from 1, in dots per inch.
func (p *Print) Pixels(t testing.TB, page, dpi int) *Pixels {
	t.Helper()
	n := strconv.Itoa(page)
	m, err := parseNetpbm(poppler(t, "pdftoppm", "-r", strconv.Itoa(dpi), "-f", n, "-l", n, p.pdf))
	if err != nil {
		t.Fatalf("oracle: pdftoppm: %v", err)
	}
	return m
}

// PNG is a page, from 1, as a small PNG of 16 grays, in dots per inch.
func (p *Print) PNG(t testing.TB, page, dpi int) []byte {
	t.Helper()
	m := p.Pixels(t, page, dpi)
	grays := make(color.Palette, 16)
	for i := range grays {
		grays[i] = color.Gray{Y: uint8(17 * i)}
	}
	small := image.NewPaletted(image.Rect(0, 0, m.W, m.H), grays)
	for y := range m.H {
		for x := range m.W {
			c := m.At(x, y)
			sum := int(c[0]) + int(c[1]) + int(c[2])
			small.SetColorIndex(x, y, uint8((sum*15+3*m.Max/2)/(3*m.Max)))
		}
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, small); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// ScrollWidth is how wide a page lies in a frame of that width, pixels: more
// than the frame is what a reader would have to scroll sideways.
func ScrollWidth(t testing.TB, page []byte, width int) int {
	t.Helper()
	seen, err := strconv.Atoi(ask(t, page, width, `return d.documentElement.scrollWidth;`))
	if err != nil {
		t.Fatalf("oracle: chromium does not tell the width of the page: %v", err)
	}
	return seen
}

// SpilledWords lists the words of a page's drawings that are cut at the edge of
// their drawing, or that lie over others, when the page lies in a frame of that
// width.
func SpilledWords(t testing.TB, page []byte, width int) (words []string) {
	t.Helper()
	const script = `var words = [];
d.querySelectorAll("svg").forEach(function (drawing) {
  var all = drawing.getBoundingClientRect(), before = [];
  drawing.querySelectorAll("text").forEach(function (text) {
    var r = text.getBoundingClientRect(), said = text.textContent.trim();
    if (r.left < all.left - 1 || r.right > all.right + 1 || r.top < all.top - 1 || r.bottom > all.bottom + 1)
      words.push("cut: " + said);
    before.forEach(function (b) {
      var across = Math.min(r.right, b.r.right) - Math.max(r.left, b.r.left), down = Math.min(r.bottom, b.r.bottom) - Math.max(r.top, b.r.top);
      if (across > 1 && down > 0.4 * Math.min(r.height, b.r.height)) // rows of text touch a little
        words.push("over each other: " + b.said + ", " + said);
    });
    before.push({r: r, said: said});
  });
});
return words.join("\n");`
	if seen := ask(t, page, width, script); seen != "" {
		words = strings.Split(seen, "\n")
	}
	return words
}

// ask shows a page in a frame of that width and returns what a script says of
// its document d. A frame, since the browser has no window as narrow as a
// telephone; the page itself needs no script.
func ask(t testing.TB, page []byte, width int, script string) string {
	t.Helper()
	Need(t, "chromium")
	around := fmt.Sprintf(`<!DOCTYPE html><html><head><script>addEventListener("load", function () {
var d = document.getElementById("page").contentDocument, e = document.documentElement;
e.setAttribute("data-width", d.documentElement.clientWidth);
e.setAttribute("data-seen", encodeURIComponent((function () { %s })())); });</script></head>
<body><iframe id="page" style="border: 0; width: %dpx; height: 900px" srcdoc="%s"></iframe></body></html>`, script, width, html.EscapeString(string(page)))
	out := string(browse(t, t.TempDir(), []byte(around), "--dump-dom", "--window-size=1200,1000"))
	value := func(name string) string {
		m := regexp.MustCompile(`<html[^>]* data-` + name + `="([^"]*)"`).FindStringSubmatch(out)
		if m == nil {
			t.Fatalf("oracle: chromium does not tell the %s of the page: %.300s", name, out)
		}
		return m[1]
	}
	if w := value("width"); w != strconv.Itoa(width) {
		t.Fatalf("oracle: chromium shows the page in %s pixels, not in %d", w, width)
	}
	seen, err := url.PathUnescape(value("seen"))
	if err != nil {
		t.Fatalf("oracle: chromium: %v", err)
	}
	return seen
}

// withHead puts something at the end of a page's head.
func withHead(t testing.TB, page []byte, end string) []byte {
	t.Helper()
	if bytes.Count(page, []byte("</head>")) != 1 {
		t.Fatal("oracle: the page has no head, or more than one")
	}
	return bytes.Replace(page, []byte("</head>"), []byte(end), 1)
}

// browse opens a page in chromium and returns what it prints on standard output.
// Without the sandbox, which root cannot have: the pages are our own.
func browse(t testing.TB, dir string, page []byte, args ...string) []byte {
	t.Helper()
	file := filepath.Join(dir, "page.html")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		t.Fatal(err)
	}
	// The browser's helpers may outlive it for a moment and still write into its
	// folder, so nothing depends on its removal.
	profile, err := os.MkdirTemp("", "browser")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(profile)
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "chromium", append([]string{
		"--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars", "--user-data-dir=" + profile,
	}, append(args, "file://"+file)...)...)
	cmd.WaitDelay = 5 * time.Second
	var complaints bytes.Buffer
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("oracle: chromium: %v: %s", err, strings.TrimSpace(complaints.String()))
	}
	return out
}

func poppler(t testing.TB, tool string, args ...string) []byte {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), Need(t, tool), args...)
	var complaints bytes.Buffer
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("oracle: %s: %v: %s", tool, err, strings.TrimSpace(complaints.String()))
	}
	return out
}
