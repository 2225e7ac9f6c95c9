package oracle

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"testing"
)

// Pixels is a picture as netpbm reads it: W x H pixels, row after row, each
// three samples R, G, B of 0 to Max. A gray picture has them equal.
type Pixels struct {
	W, H, Max int
	RGB       []uint16
}

// At returns the samples of a pixel.
func (p *Pixels) At(x, y int) [3]uint16 {
	i := 3 * (y*p.W + x)
	return [3]uint16(p.RGB[i : i+3])
}

// ReadPNG reads a PNG with netpbm's pngtopam, without its alpha. The test
// fails when pngtopam refuses the file. It changes no sample: gamma and
// background are applied on demand only. What it says on pixel shape is the
// inverse of the W3C text (PNG 3rd edition, pHYs), and not looked at.
func ReadPNG(t testing.TB, file []byte) *Pixels {
	t.Helper()
	path := Need(t, "pngtopam")
	cmd := exec.CommandContext(t.Context(), path)
	var complaints bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(file), &complaints
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("oracle: pngtopam: %v: %s", err, strings.TrimSpace(complaints.String()))
	}
	p, err := parseNetpbm(out)
	if err != nil {
		t.Fatalf("oracle: pngtopam: %v", err)
	}
	return p
}

// parseNetpbm reads one raw graymap (P5) or pixmap (P6), the two that
// pngtopam writes: a head of "P6 width height maxval" and one blank, then
// samples of a byte, or of two, higher first, when maxval is over 255
// (Netpbm manual pages; the order of the two bytes memory).
func parseNetpbm(b []byte) (*Pixels, error) {
	r := bufio.NewReader(bytes.NewReader(b))
	var kind string
	p := new(Pixels)
	if _, err := fmt.Fscan(r, &kind, &p.W, &p.H, &p.Max); err != nil {
		return nil, fmt.Errorf("head: %w", err)
	}
	if c, err := r.ReadByte(); err != nil || !strings.ContainsRune(" \t\r\n", rune(c)) {
		return nil, errors.New("head: no blank before the samples")
	}
	channels := map[string]int{"P5": 1, "P6": 3}[kind]
	if channels == 0 || p.W <= 0 || p.H <= 0 || p.Max <= 0 || p.Max > 65535 {
		return nil, fmt.Errorf("head: %s %d %d %d is not understood", kind, p.W, p.H, p.Max)
	}
	body, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	wide := 1
	if p.Max > 255 {
		wide = 2
	}
	if want := p.W * p.H * channels * wide; len(body) != want {
		return nil, fmt.Errorf("%d bytes of samples, want %d", len(body), want)
	}
	p.RGB = make([]uint16, 0, 3*p.W*p.H)
	for len(body) > 0 {
		v := uint16(body[0])
		if wide == 2 {
			v = v<<8 | uint16(body[1])
		}
		body = body[wide:]
		p.RGB = append(p.RGB, v)
		if channels == 1 {
			p.RGB = append(p.RGB, v, v)
		}
	}
	return p, nil
}
