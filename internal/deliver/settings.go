package deliver

import (
	"fmt"
	"strings"

	"backporch/timing"
)

// A flagging is what a file must say of its pictures, in the words of ffmpeg. It
// derives from the raster alone.
type flagging struct {
	mode      string // of fields, for the filter that tags frames
	top       string // -top: 1 top field first, 0 bottom field first
	x264      string
	primaries string
	transfer  string
	matrix    string
}

// flags returns the flagging of a raster. 525 lines: SMPTE 170M throughout
// (ITU-T H.273 codes 6, memory). 625 lines: primaries and matrix of BT.470 B,G
// (codes 5), and the transfer characteristic of ITU-R BT.601 (code 6, which is
// for 525 and 625 lines): code 5 would be the gamma of 2.8 of an old display.
func flags(r *timing.Raster) flagging {
	f := flagging{primaries: "smpte170m", transfer: "smpte170m", matrix: "smpte170m"}
	if r.Scan.System == timing.System625 {
		f.primaries, f.matrix = "bt470bg", "bt470bg"
	}
	switch r.Order() {
	case timing.TopFirst:
		f.mode, f.top, f.x264 = "tff", "1", "tff=1"
	case timing.BottomFirst:
		f.mode, f.top, f.x264 = "bff", "0", "bff=1"
	default:
		f.mode = "prog"
	}
	return f
}

// tags is a filter that changes no sample: it says of every picture what it is.
func (f flagging) tags() string {
	return fmt.Sprintf("setparams=field_mode=%s:range=tv:color_primaries=%s:color_trc=%s:colorspace=%s", f.mode, f.primaries, f.transfer, f.matrix)
}

// gop is the distance of pictures that lean on no other: about half a second,
// and at most the 18 frames of 525 lines and 15 of 625 lines of DVD-Video
// (secondary).
func gop(r *timing.Raster) int {
	if r.Scan.System == timing.System625 {
		return 12 * 2 / r.Scan.Fields
	}
	return 15 * 2 / r.Scan.Fields
}

// screen is the shape of the screen as MPEG-2 has it.
func (j *Job) screen() string { return fmt.Sprintf("%d:%d", j.Aspect.Num, j.Aspect.Den) }

// mpeg2Settings: main profile at main level as DVD-Video limits it: 9.8 Mbit/s
// of video in 10.08 of the stream, a buffer of 1 835 008 bits, closed groups
// (secondary). The DC of blocks has 10 bits and the quantizer may go down to 1,
// so that flat areas keep their level. The matrices are flat, unlike the usual
// one, which is coarser for fine detail: of the patterns of a kit that lowers the
// largest difference of a sample by a third (measured).
func mpeg2Settings(j *Job) []string {
	f := flags(j.Raster)
	flat := strings.Repeat(",16", 63)
	standard := "ntsc"
	if j.Raster.Scan.System == timing.System625 {
		standard = "pal"
	}
	return []string{
		"-pix_fmt", "yuv420p", "-flags", "+ildct+ilme+cgop+bitexact", "-top", f.top, "-g", fmt.Sprint(gop(j.Raster)), "-bf", "2",
		"-sc_threshold", "1000000000", "-b:v", "8000k", "-maxrate", "9000k", "-bufsize", "1835008",
		"-dc", "10", "-intra_vlc", "1", "-non_linear_quant", "1", "-qmin", "1", "-qmax", "28", "-intra_matrix", "8" + flat, "-inter_matrix", "16" + flat,
		"-aspect", j.screen(), "-seq_disp_ext", "always", "-video_format", standard,
		"-packetsize", "2048", "-muxrate", "10080000",
	}
}

// h264Settings: a quantizer of 1 is next to lossless, and High profile, which
// hardware decodes, unlike the lossless one. Level 4.1 is the highest that may
// be interlaced (H.264 table A-4: memory). No picture is held back, so a loop
// has no seam.
func h264Settings(j *Job) []string {
	f := flags(j.Raster)
	flags, params := "+cgop+bitexact", fmt.Sprintf("open-gop=0:scenecut=0:min-keyint=%d", gop(j.Raster))
	if f.x264 != "" {
		flags, params = "+ildct+ilme"+flags, params+":"+f.x264
	}
	return []string{
		"-pix_fmt", "yuv420p", "-profile:v", "high", "-level:v", "4.1", "-preset", "fast", "-qp", "1", "-refs", "2", "-bf", "0",
		"-g", fmt.Sprint(gop(j.Raster)), "-flags", flags, "-x264-params", params,
		"-movflags", "+faststart",
	}
}

// ffv1Settings: version 3 with checksums, every picture for itself.
func ffv1Settings(j *Job) []string {
	return []string{"-pix_fmt", j.pixels(), "-level", "3", "-g", "1", "-slices", "4", "-slicecrc", "1", "-flags", "+bitexact"}
}

func v210Settings(*Job) []string { return []string{"-pix_fmt", "yuv422p10le", "-flags", "+bitexact"} }

func dvSettings(j *Job) []string {
	return []string{"-pix_fmt", j.pixels(), "-aspect", j.screen(), "-flags", "+bitexact"}
}

// pixels is what ffmpeg calls the samples of the file.
func (j *Job) pixels() string {
	s := map[string]string{"411": "yuv411p", "420": "yuv420p", "420dv": "yuv420p", "422": "yuv422p"}[j.Format.Chroma]
	if j.Format.Coding.Bits == 10 {
		s += "10le"
	}
	return s
}
