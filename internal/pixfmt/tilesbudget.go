package pixfmt

import (
	"fmt"
	"strconv"
)

// A BudgetError reports a picture that needs more than a device has room for.
type BudgetError struct {
	What   string // is too many: "different tiles"
	Needed int
	Room   int
	Where  string // " in the tile at ..."; "" for the whole picture
	Remedy string
}

func (e *BudgetError) Error() string {
	return fmt.Sprintf("%s %s%s, and the device has room for %s: %s", grouped(e.Needed), e.What, e.Where, grouped(e.Room), e.Remedy)
}

// fewerTiles is the way out where tiles ran out.
const fewerTiles = "take a pattern of larger plain areas, such as bars or a window, or a device that keeps its picture as a framebuffer"

// fewerColors is the way out where colors ran out. A picture of as many colors
// as a palette has always fits, and a device is given one by choosing the
// nearest of them.
func (s *TileSet) fewerColors() string {
	return fmt.Sprintf("take a pattern of fewer colors, or give the device no more than %d colors at once, so that those that are near become one", 1<<s.Bits)
}

// grouped writes a number with commas between thousands.
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
