package deliver

import (
	"fmt"
	"slices"
	"strings"

	"backporch/internal/typo"
	"backporch/timing"
)

// A Target is a kind of file for players: a row of the table.
type Target struct {
	Name      string
	Title     string // what it is
	Use       string // what plays it
	Extension string // of its files, with the dot
	Rasters   []string
	Depths    []int   // bits a sample, the usual one first
	Tolerance float64 // codes by which a patch may be off; 0: it is lossless
	Audio     Audio   // if nothing is asked for
	GOP       bool    // pictures lean on others: there is a longest distance between those that do not

	buffer    *buffer // that the pictures must pass; nil: any
	muxer     string
	container string // as ffprobe calls it
	encoder   string
	sound     string // encoder of audio
	codec     string // as ffprobe calls it
	chroma    func(r *timing.Raster) string
	settings  func(j *Job) []string // of the encoder
	unsaid    []unsaid
}

// A buffer is what a player reads pictures through: it fills at Rate, and a
// picture is taken out whole.
type buffer struct {
	rate, size float64 // Mbit/s, Mbit
	source     string
}

// unsaid is something that the kind of file has no place for.
type unsaid struct{ tag, reason string }

// Rasters of 720 samples with rows that 4:2:0 and players can take.
var (
	discRasters = []string{"480i", "480i-dv", "480i-cea", "576i", "576i-dv"}
	lowRasters  = []string{"240p", "240p-263", "240p-228", "240p-227.33", "288p", "288p-313"}
)

// Targets returns the table, in the order in which it is listed.
func Targets() []*Target {
	always := func(chroma string) func(*timing.Raster) string {
		return func(*timing.Raster) string { return chroma }
	}
	all := append(append(slices.Clone(discRasters), "486i"), lowRasters...)
	return []*Target{
		{
			Name: "mpeg2-dvd", Title: "MPEG-2 program stream as DVD-Video has it", Use: "disc authoring, and players that take .mpg files",
			Extension: ".mpg", Rasters: discRasters, Depths: []int{8}, Tolerance: 2, Audio: Silent,
			GOP: true, buffer: &buffer{9.8, 1.835008, "DVD-Video: secondary"},
			muxer: "dvd", container: "mpeg", encoder: "mpeg2video", sound: "ac3", codec: "mpeg2video Main", chroma: always("420"), settings: mpeg2Settings,
			unsaid: []unsaid{
				{tagShape, "MPEG-2 has the shape of the screen alone; a tube shows the right shape, a computer one that is 2.3 % off"},
			},
		},
		{
			Name: "h264-mp4", Title: "H.264 in MP4, High profile, 4:2:0", Use: "media players, computers and boards with a video output",
			Extension: ".mp4", Rasters: append(slices.Clone(discRasters), lowRasters...), Depths: []int{8}, Tolerance: 1, Audio: Silent,
			GOP: true, buffer: &buffer{62.5, 78.125, "H.264 tables A-1 and A-2, High profile, level 4.1: memory"},
			muxer: "mp4", container: "mov,mp4,m4a,3gp,3g2,mj2", encoder: "libx264", sound: "aac", codec: "h264 High", chroma: always("420"), settings: h264Settings,
		},
		{
			Name: "ffv1-mkv", Title: "FFV1 in Matroska, lossless 4:2:2", Use: "keeping, editing and media software",
			Extension: ".mkv", Rasters: all, Depths: []int{10, 8}, Audio: NoAudio,
			muxer: "matroska", container: "matroska,webm", encoder: "ffv1", sound: "pcm_s16le", codec: "ffv1", chroma: always("422"), settings: ffv1Settings,
		},
		{
			Name: "v210-mov", Title: "v210 in QuickTime, uncompressed 4:2:2 of 10 bits", Use: "editing, playout cards",
			Extension: ".mov", Rasters: all, Depths: []int{10}, Audio: NoAudio,
			muxer: "mov", container: "mov,mp4,m4a,3gp,3g2,mj2", encoder: "v210", sound: "pcm_s16le", codec: "v210", chroma: always("422"), settings: v210Settings,
			unsaid: []unsaid{{tagRange, "QuickTime has no place for it; v210 is studio range"}},
		},
		{
			Name: "dv", Title: "DV, 4:1:1 at 525 lines and 4:2:0 at 625", Use: "tape, DV recorders and playout of DV",
			Extension: ".dv", Rasters: []string{"480i-dv", "576i-dv"}, Depths: []int{8}, Tolerance: 1, Audio: Silent,
			muxer: "dv", container: "dv", encoder: "dvvideo", sound: "pcm_s16le", codec: "dvvideo",
			chroma: func(r *timing.Raster) string {
				if r.Scan.System == timing.System625 {
					return "420dv"
				}
				return "411"
			},
			settings: dvSettings,
			unsaid: []unsaid{
				{tagRange, dvUnsaid}, {tagMatrix, dvUnsaid}, {tagPrimaries, dvUnsaid}, {tagTransfer, dvUnsaid},
				{tagOrder, "DV is always lower field first, and each frame says so"},
				{tagShape, "DV has the shape of the screen alone; a tube shows the right shape, a computer one that is 2.3 % off"},
			},
		},
	}
}

const dvUnsaid = "DV has no place for it: it is ITU-R BT.601 of its system, studio range"

// Chromas are the samplings of its files, as the flag --chroma of render has
// them: more than one where they differ with the raster.
func (t *Target) Chromas() (list []string) {
	for _, r := range t.Rasters {
		if c := t.chroma(timing.Lookup(r)); !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	return list
}

// Lookup returns the target of that name, or nil. Case does not matter.
func Lookup(name string) *Target {
	for _, t := range Targets() {
		if strings.EqualFold(t.Name, name) {
			return t
		}
	}
	return nil
}

// Find is Lookup with an error that names a near one.
func Find(name string) (*Target, error) {
	if t := Lookup(name); t != nil {
		return t, nil
	}
	return nil, fmt.Errorf("unknown target %q%s; use one of: %s", name, typo.Suggest(name, Names()), strings.Join(Names(), " "))
}

// Names lists the targets.
func Names() (names []string) {
	for _, t := range Targets() {
		names = append(names, t.Name)
	}
	return names
}
