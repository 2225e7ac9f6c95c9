package format

import (
	"backporch/internal/encode/devicedata"
	"backporch/internal/pixfmt"
)

// Data is a picture as data for a program on a small device: a set of files
// that belong together.
type Data = devicedata.Set

// AboutData is what such files are called and say of themselves.
type AboutData = devicedata.About

// Framebuffer returns a picture as the image of a framebuffer.
func Framebuffer(x *pixfmt.Indexed, f *pixfmt.Framebuffer, a AboutData) (*Data, error) {
	return devicedata.Framebuffer(x, f, a)
}

// Tiles returns a picture as tiles, map and palettes. A *[pixfmt.BudgetError]
// reports a picture that needs more than the device has.
func Tiles(x *pixfmt.Indexed, s *pixfmt.TileSet, a AboutData) (*Data, error) {
	return devicedata.Tiles(x, s, a)
}
