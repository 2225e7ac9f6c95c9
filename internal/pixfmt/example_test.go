package pixfmt_test

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Two samples of white in four lines, packed from one row.
func ExamplePacker() {
	lines := make([]int32, 4)
	f := &frame.Frame{
		Raster:   &timing.Raster{Width: 2, Lines: make([]timing.Line, len(lines))},
		Sampling: frame.S422,
		Planes: [3]frame.Plane{
			{Rows: [][]float64{{1, 1}}, Lines: lines},
			{Rows: [][]float64{{0}}, Lines: lines},
			{Rows: [][]float64{{0}}, Lines: lines},
		},
	}
	var p pixfmt.Packer
	fmt.Printf("% x\n", p.Append(nil, pixfmt.Lookup("uyvy"), colorimetry.YCbCr8, f))
	// Output:
	// 80 eb 80 eb 80 eb 80 eb 80 eb 80 eb 80 eb 80 eb
}

func ExampleLayout_Unpack() {
	c, err := pixfmt.Lookup("yuyv").Unpack([]byte{16, 128, 235, 128}, 2, 1)
	fmt.Println(c.Row(0, 0), c.Row(1, 0), c.Row(2, 0), err)
	_, err = pixfmt.Lookup("yuyv").Unpack([]byte{16, 128, 235}, 2, 1)
	fmt.Println(err)
	// Output:
	// [16 235] [128] [128] <nil>
	// pixfmt: invalid picture: 3 bytes; a yuyv picture of 2 x 1 samples has 4
}
