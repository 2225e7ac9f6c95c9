package draw

import (
	"crypto/sha256"
	"encoding/hex"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/math/fixed"
)

const everyLetter = "ABCDEFGHIJKLMNOPQRSTUVWXYZ abcdefghijklmnopqrstuvwxyz 0123456789 &%@$?!(){}[]'\"-+/§µ°ÄÖÜßéç…"

// Letters are those of the library but for the cutting of curves. Its chords
// stray from a curve by up to sqrt(1/3)/4 = 0.144 pixel (it cuts where the bend
// squared is 0.333 or more), ours by 1/16, to the same side. Along the diagonal
// of a pixel 0.144 is 0.144 sqrt(2) of it: 52 of 255, and two for rounding.
func TestSteadyLetters(t *testing.T) {
	for _, size := range []float64{9, 13.37, 24, 61.5, 200} {
		for _, bold := range []bool{false, true} {
			v := New(10, 10, Paper)
			f, ok := v.face(Style{Size: size, Bold: bold}).(*steadyFace)
			require.True(t, ok)
			for _, r := range everyLetter {
				dot := fixed.Point26_6{X: 1000 + fixed.Int26_6(r%64), Y: 5000}
				dr, mask, at, advance, ok := f.Glyph(dot, r)
				dr2, mask2, at2, advance2, ok2 := f.Face.Glyph(dot, r)
				require.Equal(t, []any{dr2, at2, advance2, ok2}, []any{dr, at, advance, ok}, "%q at %v", r, size)
				got, _ := mask.(*image.Alpha)
				want, _ := mask2.(*image.Alpha)
				require.Len(t, got.Pix, len(want.Pix))
				most := 0
				for i := range want.Pix {
					d := int(want.Pix[i]) - int(got.Pix[i])
					most = max(most, d, -d)
				}
				require.LessOrEqual(t, most, 54, "%q at %v", r, size)
			}
		}
	}
}

// Our own output, pinned: it must be the same in builds that fuse
// multiplications with additions (GOAMD64=v3, arm64) and in those that do not.
func TestLettersAreTheSameEverywhere(t *testing.T) {
	v := New(900, 900, Paper)
	box := v.Bounds()
	for _, size := range []float64{9, 11.3, 13.37, 15.9, 18.2, 24, 27.1, 36} {
		for _, bold := range []bool{false, true} {
			box.Min.Y = v.Text(box, everyLetter, Style{Size: size, Bold: bold}).Max.Y
		}
	}
	sum := sha256.Sum256(v.img.Pix)
	assert.Equal(t, "ffbe60d38f24745c40cf9fb61debe4b66b8c2d9d532b1579a367f9ffeddce6dd", hex.EncodeToString(sum[:]))
}
