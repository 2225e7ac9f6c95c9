package format_test

import (
	"fmt"

	"backporch/internal/format"
	"backporch/timing"
)

func ExampleResolve() {
	f, err := format.Resolve(format.Choice{Name: "y4m", Chroma: "420"})
	if err != nil {
		fmt.Println(err)
		return
	}
	r := timing.Lookup("240p")
	head, err := f.Header(r, format.Meta{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.Title)
	fmt.Printf("%s%d bytes a frame, chroma %v\n", head, f.FrameSize(r), f.Sampling(r))

	_, err = format.Resolve(format.Choice{Name: "nv12", Depth: 10})
	fmt.Println(err)
	// Output:
	// YUV4MPEG2 video, 4:2:0 8-bit
	// YUV4MPEG2 W720 H240 F1125000:18733 Ip A5:11 C420mpeg2 XCOLORRANGE=LIMITED
	// 259206 bytes a frame, chroma 4:2:0
	// format nv12 cannot have depth 10; it can have 8 (depth 10: y4m bt656 v210 yuv420p10 yuv422p10 yuv444p10)
}
