package deliver

import (
	"fmt"
	"strings"
)

// navigation checks the IFO files against what was asked for.
func (d *Disc) navigation(p *DiscProof, m *discManager, t *discTitle) {
	n := len(d.Jobs)
	p.check("titles", fmt.Sprintf("1 in 1 set, %d chapters", n), fmt.Sprintf("%d in %d set, %d chapters", m.Titles, m.Sets, m.Chapters))
	p.check("first play", "play title 1", spoken(m.FirstPlay))
	p.check("title button", "play title 1", spoken(m.Menu))
	p.check("menu button", "play title 1", spoken(t.Menu))
	p.check("next and previous", fmt.Sprintf("%d programs in order, a cell each", n), programsOf(t))
	p.check("chapters", "each is its program", each(max(n, len(t.Chapters)), "each is its program", func(i int) string {
		if i < len(t.Chapters) && t.Chapters[i] == [2]uint16{1, uint16(i + 1)} {
			return "each is its program"
		}
		return "is not"
	}))
	p.check("links to other chains", "none", links(t))
	cells := max(n, len(t.Cells))
	cell := func(want string, say func(c discCell, i int) string) string {
		return each(cells, want, func(i int) string {
			if i >= n || i >= len(t.Cells) {
				return "is not one of them"
			}
			return say(t.Cells[i], i)
		})
	}
	end := "each plays itself again"
	if d.Still {
		end = "each is held without end"
	}
	p.check("end of a program", end, cell(end, func(c discCell, i int) string {
		switch {
		case d.Still && c.Still == 255 && c.Command.String() == "nothing",
			!d.Still && c.Still == 0 && c.Command.String() == fmt.Sprintf("play program %d", i+1):
			return end
		}
		return fmt.Sprintf("held %d s, then %s", c.Still, c.Command)
	}))
	const length = "as many frames as the stream"
	p.check("length", length, cell(length, func(c discCell, i int) string {
		if c.Frames == d.Jobs[i].Frames {
			return length
		}
		return fmt.Sprintf("%d frames, not %d", c.Frames, d.Jobs[i].Frames)
	}))
	if !d.Still {
		want := fmt.Sprintf("%d s or more", DiscSeconds)
		p.check("shortest", want, cell(want, func(c discCell, _ int) string {
			if s := float64(c.Frames) / d.Raster.FrameRate().Float64(); s < DiscSeconds {
				return fmt.Sprintf("%.2f s", s)
			}
			return want
		}))
	}
	p.check("video", d.video(), videoOf(t))
	p.check("sound", d.sound(), soundOf(t))
}

// spoken is a list of instructions in words.
func spoken(list []discCommand) string {
	if len(list) == 0 {
		return "nothing"
	}
	var words []string
	for _, c := range list {
		words = append(words, c.String())
	}
	return strings.Join(words, ", then ")
}

// programsOf says whether programs are cells in order.
func programsOf(t *discTitle) string {
	for i, first := range t.Programs {
		if int(first) != i+1 {
			return fmt.Sprintf("program %d begins with cell %d", i+1, first)
		}
	}
	if t.Chains != 1 || len(t.Programs) != len(t.Cells) {
		return fmt.Sprintf("%d programs of %d cells in %d chains", len(t.Programs), len(t.Cells), t.Chains)
	}
	return fmt.Sprintf("%d programs in order, a cell each", len(t.Programs))
}

func links(t *discTitle) string {
	if t.Links == [3]uint16{} && t.Still == 0 {
		return "none"
	}
	return fmt.Sprintf("next %d, previous %d, up %d, held %d s", t.Links[0], t.Links[1], t.Links[2], t.Still)
}

// video is what the attributes must say; videoOf what they say (video_attr_t of
// ifo_types.h, libdvdread 6.1.3: secondary).
func (d *Disc) video() string {
	screen := "4:3"
	if d.Wide {
		screen = "16:9, letterbox on a 4:3 set"
	}
	return fmt.Sprintf("MPEG-2, %d lines, %dx%d, %s", d.Raster.Scan.System.Lines(), d.Raster.Width, len(d.Raster.Lines), screen)
}

func videoOf(t *discTitle) string {
	word := func(v byte, words ...string) string {
		if int(v) < len(words) {
			return words[v]
		}
		return fmt.Sprintf("unknown (%d)", v)
	}
	a, b := t.Video[0], t.Video[1]
	lines, rows := word(a>>4&3, "525", "625"), word(a>>4&3, "480", "576")
	size := word(b>>2&3, "720x"+rows, "704x"+rows, "352x"+rows, "352x half of "+rows)
	screen := word(a>>2&3, "4:3", "unknown", "unknown", "16:9")
	if screen == "16:9" {
		screen += ", " + word(a&3, "anything on a 4:3 set", "cropped on a 4:3 set", "letterbox on a 4:3 set")
	}
	rate := map[string]int{"525": 30, "625": 25}[lines]
	if t.Rate != rate {
		lines += fmt.Sprintf(" (but %d frames a second)", t.Rate)
	}
	return fmt.Sprintf("%s, %s lines, %s, %s", word(a>>6, "MPEG-1", "MPEG-2"), lines, size, screen)
}

// sound is what the attributes must say; soundOf what they say (audio_attr_t).
func (d *Disc) sound() string {
	if d.Audio == NoAudio {
		return "none"
	}
	return fmt.Sprintf("AC-3, %d Hz, %d channels", soundRate, soundChannels)
}

func soundOf(t *discTitle) string {
	if len(t.Audio) == 0 {
		return "none"
	}
	var list []string
	for _, a := range t.Audio {
		kind := map[byte]string{0: "AC-3", 2: "MPEG-1", 3: "MPEG-2", 4: "LPCM", 6: "DTS"}[a[0]>>5]
		rate := map[byte]int{0: 48000, 1: 96000}[a[1]>>4&3]
		list = append(list, fmt.Sprintf("%s, %d Hz, %d channels", kind, rate, a[1]&7+1))
	}
	return strings.Join(list, "; ")
}
