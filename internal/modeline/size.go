package modeline

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Sizes of a picture that an EDID is given here, in mm: it has a byte for
// centimeters, and edid-decode doubts what is below 10 of them.
const minSize, maxSize = 100, 2550

func checkSize(width, height int) error {
	for _, n := range []int{width, height} {
		if n < minSize || n > maxSize {
			return fmt.Errorf("a picture of %d x %d mm: each is within %d to %d mm", width, height, minSize, maxSize)
		}
	}
	return nil
}

// ParseSize reads the size of the picture in mm: 400x300, or the diagonal of a
// 4:3 picture with its unit, 20in or 51cm or 508mm.
func ParseSize(text string) (width, height int, err error) {
	bad := func() (int, int, error) {
		return 0, 0, fmt.Errorf("%q is no size; write width and height in mm as 400x300, or a 4:3 diagonal as 20in, 51cm or 508mm", text)
	}
	s := strings.ToLower(strings.TrimSpace(text))
	for _, u := range []struct {
		name string
		mm   float64
	}{{"in", 25.4}, {"cm", 10}, {"mm", 1}} {
		number, ok := strings.CutSuffix(s, u.name)
		if !ok {
			continue
		}
		d, err := strconv.ParseFloat(number, 64)
		if err != nil || !(d > 0) || d > 1e4 {
			return bad()
		}
		// 3:4:5.
		width, height = int(math.Round(.8*d*u.mm)), int(math.Round(.6*d*u.mm))
		return width, height, checkSize(width, height)
	}
	w, h, ok := strings.Cut(s, "x")
	if !ok {
		return bad()
	}
	if width, err = strconv.Atoi(w); err != nil {
		return bad()
	}
	if height, err = strconv.Atoi(h); err != nil {
		return bad()
	}
	return width, height, checkSize(width, height)
}
