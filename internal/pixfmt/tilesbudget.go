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

// The ways out of a budget, by what ran out.
const (
	fewerTiles    = "take a pattern of larger plain areas, such as bars or a window, or a device that keeps its picture as a framebuffer"
	fewerPalettes = "take a pattern of fewer colors or one without color, or a device that keeps its picture as a framebuffer"
)

// grouped writes a number with commas between thousands.
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
