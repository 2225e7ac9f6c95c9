// Package draw is a small kit for pages that people look at: contact sheets,
// and the frames and legends of scope pictures. It draws text, boxes and lines
// on an image.RGBA and fits pictures into boxes with their true pixel shape.
//
// It is not for test patterns: nothing drawn here has an exact level. Text is
// set in the Go fonts (BSD license, golang.org/x/image/font/gofont). Colors are
// chosen so that a page still says everything when printed in gray.
//
// The package knows nothing of video.
package draw

import (
	"image"
	"image/color"
	stddraw "image/draw"

	"golang.org/x/image/font"
)

// Colors of a page. Ink on Paper and Ink on Shade have contrast ratios above 7,
// Quiet on Paper above 4.5 (WCAG 2.1, success criteria 1.4.6 and 1.4.3).
var (
	Paper = color.RGBA{0xff, 0xff, 0xff, 0xff}
	Ink   = color.RGBA{0x11, 0x11, 0x11, 0xff}
	Quiet = color.RGBA{0x55, 0x55, 0x55, 0xff}
	Shade = color.RGBA{0xe4, 0xe4, 0xe4, 0xff}
)

// Canvas is a picture being drawn. Coordinates are pixels from its upper left
// corner; whatever lies outside is clipped. It is not safe for concurrent use.
type Canvas struct {
	img   *image.RGBA
	faces map[faceKey]font.Face
}

// New returns a canvas of width by height pixels filled with c. It panics if
// either is less than one.
func New(width, height int, c color.Color) *Canvas {
	if width < 1 || height < 1 {
		panic("draw: New with zero or negative size")
	}
	v := &Canvas{image.NewRGBA(image.Rect(0, 0, width, height)), map[faceKey]font.Face{}}
	v.Fill(v.img.Rect, c)
	return v
}

// Image returns the picture, which later drawing changes.
func (v *Canvas) Image() *image.RGBA { return v.img }

// Bounds returns the area of the canvas.
func (v *Canvas) Bounds() image.Rectangle { return v.img.Rect }

// Fill paints r with c, over what is there if c is translucent.
func (v *Canvas) Fill(r image.Rectangle, c color.Color) {
	stddraw.Draw(v.img, r, image.NewUniform(c), image.Point{}, stddraw.Over)
}

// Frame draws the outline of r, width pixels thick and inside r.
func (v *Canvas) Frame(r image.Rectangle, width int, c color.Color) {
	width = min(width, (r.Dx()+1)/2, (r.Dy()+1)/2)
	if width < 1 {
		return
	}
	v.Fill(image.Rect(r.Min.X, r.Min.Y, r.Max.X, r.Min.Y+width), c)
	v.Fill(image.Rect(r.Min.X, max(r.Max.Y-width, r.Min.Y+width), r.Max.X, r.Max.Y), c)
	v.Fill(image.Rect(r.Min.X, r.Min.Y+width, r.Min.X+width, r.Max.Y-width), c)
	v.Fill(image.Rect(max(r.Max.X-width, r.Min.X+width), r.Min.Y+width, r.Max.X, r.Max.Y-width), c)
}
