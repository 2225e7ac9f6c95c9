package deliver

import (
	"fmt"
	"math"
)

// samples turns what was measured into rows.
func (j *Job) samples(p *Proof, c *comparer) {
	t := j.Target
	p.equal("frames decoded", fmt.Sprint(j.Frames), fmt.Sprint(c.frames))
	most := max(c.worst[0], c.worst[1], c.worst[2])
	got := fmt.Sprintf("Y' %d, CB %d, CR %d codes", c.worst[0], c.worst[1], c.worst[2])
	if t.Tolerance == 0 {
		p.check("largest difference of a sample", "none", got, most == 0)
	} else {
		p.check("largest difference of a sample", "any", got, true)
		if p.Detail = most; most > detail {
			p.Notes = append(p.Notes, fmt.Sprintf("Fine detail and sharp sides are changed by up to %d codes: %s keeps levels, not every sample. Judge resolution and sharpness with a lossless target, or with h264-mp4.", most, t.Name))
		}
	}
	for _, q := range c.patches {
		if q.Off < 0 {
			q.Off = 0 // no picture was decoded, which the row above says
		}
		q.OK = c.frames > 0 && (!q.Level || q.Off <= t.Tolerance && q.Beyond < mostBeyond)
		p.Patches = append(p.Patches, q)
	}
	j.beyond(p, c)
}

// mostBeyond is the share of a patch's samples that may be off by more than the
// tolerance, in percent: its median is within it as its mean is. Between thin
// lines of a color MPEG-2 and DV leave up to 28 % (measured), and up to 5 % in
// fields of bars.
const mostBeyond = 50

// detail is a difference, in codes of 8 bits, that is worth a word.
const detail = 10

// beyond checks that levels below black and above white are still there.
func (j *Job) beyond(p *Proof, c *comparer) {
	least, _, black := j.Format.Coding.Range(0)
	white := black + 219*float64(uint(1)<<(j.Format.Coding.Bits-8))
	for _, q := range c.patches {
		w, g := q.Want[0], q.Got[0]
		if !q.Level || math.IsNaN(w) {
			continue
		}
		switch {
		case w <= black-1 && w >= float64(least):
			p.check("below black: "+q.Name, fmt.Sprintf("code %.1f", w), fmt.Sprintf("code %.1f", g), g < black-(black-w)/2)
		case w >= white+1:
			p.check("above white: "+q.Name, fmt.Sprintf("code %.1f", w), fmt.Sprintf("code %.1f", g), g > white+(w-white)/2)
		}
	}
}
