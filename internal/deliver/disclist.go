package deliver

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strings"
	"unicode/utf8"

	"backporch/colorimetry"
	"backporch/pattern"
)

//go:embed disc.html
var discPage string

// discList is the list of a disc that lies beside the set.
type discList struct {
	Title, Raster, Screen, Image, Program string
	Still                                 bool
	Notes, Cautions                       []string
	Codes                                 string
	Groups                                []discGroup
	Count                                 int
}

// discGroup is the patterns of one step of the work.
type discGroup struct {
	Name, Do string
	Items    []discItem
}

type discItem struct {
	Number  int
	Spec    string
	Use     string
	Levels  []discLevel
	More    int // patches that are not listed
	Notes   []string
	Caution string
	Seconds string
}

// discLevel is a patch and what the disc has of it.
type discLevel struct{ Name, Codes string }

// mostLevels is how many patches the list names of a pattern; disc.json and
// `backporch readings` have them all.
const mostLevels = 12

// discCautions stand on the list of every disc.
var discCautions = []string{
	"A picture-tube set holds lethal voltages, also after it is unplugged. If you are not trained and licensed to work inside it, leave that to those who are.",
	"Bright still pictures burn the phosphor: do not leave one on longer than the work needs, and turn contrast down meanwhile. A program repeats until you go on.",
	"Fine rows flicker and some patterns move or flash: that can set off seizures in people with photosensitive epilepsy. Warn all who can see the screen.",
}

// list gathers what the pages say.
func (d *Disc) list(p *DiscProof) *discList {
	l := &discList{
		Title: d.Title, Raster: d.Raster.Name, Screen: d.Jobs[0].screen(), Image: p.Image, Program: d.Program,
		Still: d.Still, Notes: d.Notes, Cautions: discCautions, Count: len(d.Jobs),
		Codes: fmt.Sprintf("Levels are 8-bit codes Y' CB CR of the disc, ITU-R BT.601: black 16 128 128, white 235 128 128. Flat areas were measured to be within %g codes of them. "+
			"Where the coding of a disc changes fine detail by more than %d codes the list says so: judge resolution and sharpness there with a lossless file.", Lookup(DiscTarget).Tolerance, detail),
	}
	if d.Audio == Tone {
		l.Notes = append(l.Notes[:len(l.Notes):len(l.Notes)], fmt.Sprintf("With every pattern there is a tone of 1 kHz at %g dBFS: turn the amplifier down before you play it.", d.Jobs[0].line().Level))
	}
	said := map[string]bool{} // cautions, each once
	for i, j := range d.Jobs {
		e := d.Entry[i]
		c := d.Choices[i]
		if n := len(l.Groups); n == 0 || l.Groups[n-1].Name != c.Step {
			l.Groups = append(l.Groups, discGroup{Name: c.Step, Do: c.Do})
		}
		it := discItem{Number: i + 1, Spec: j.Spec, Use: strings.TrimSuffix(strings.ToUpper(e.Use[:1])+e.Use[1:], "."), Seconds: fmt.Sprintf("%.1f s", p.Pictures[i].Seconds)}
		if d.Still {
			it.Seconds = "held"
		}
		for _, a := range j.Lost.ByWay() {
			for _, clipped := range []bool{false, true} {
				if c := a.Clipped(clipped); len(c) > 0 {
					word := "Absent"
					if clipped {
						word = "Clipped"
					}
					it.Notes = append(it.Notes, fmt.Sprintf("%s: %s (%s).", word, c.Names(), c[0].Reason))
				}
			}
		}
		for _, n := range j.Notes {
			if n != "" && !strings.HasPrefix(n, "the picture is laid out on raster") { // said above, of all
				it.Notes = append(it.Notes, strings.ToUpper(n[:1])+strings.TrimSuffix(n[1:], ".")+".")
			}
		}
		if n := p.Pictures[i].Proof.Detail; n > detail {
			it.Notes = append(it.Notes, fmt.Sprintf("Fine detail and sharp sides are off by up to %d codes on this disc.", n))
		}
		if !said[e.Still] {
			said[e.Still], it.Caution = true, e.Still
		}
		it.levels(j)
		g := &l.Groups[len(l.Groups)-1]
		g.Items = append(g.Items, it)
	}
	return l
}

// levels lists the patches, each name once.
func (it *discItem) levels(j *Job) {
	seen := map[string]bool{}
	for _, a := range j.Scene.Patches {
		if seen[a.Name] || a.Absent != "" {
			continue
		}
		seen[a.Name] = true
		if len(it.Levels) == mostLevels {
			it.More++
			continue
		}
		text := j.codes(a.Want)
		if a.Kind != pattern.Level && a.To != a.Want {
			text += " to " + j.codes(a.To)
		}
		it.Levels = append(it.Levels, discLevel{a.Name, text})
	}
}

// codes is a signal as the file holds it.
func (j *Job) codes(s colorimetry.Signal) string {
	held, _ := j.Plan.File(s, j.Format.Coding) // the nearest where it is out of reach, which is said
	c := j.Format.Coding.Codes(held)
	return fmt.Sprintf("%d %d %d", c[0], c[1], c[2])
}

// html is the page.
func (l *discList) html() ([]byte, error) {
	t, err := template.New("disc").Parse(discPage)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = t.Execute(&b, l)
	return b.Bytes(), err
}

// text is the same in plain characters, for a printer or a player's own screen.
func (l *discList) text() []byte {
	var b strings.Builder
	head := fmt.Sprintf("%s: %d patterns on raster %s, screen %s", l.Title, l.Count, l.Raster, l.Screen)
	fmt.Fprintf(&b, "%s\n%s\n\n", head, strings.Repeat("=", len(head)))
	wrapTo(&b, "", fmt.Sprintf("Burn %s as a disc image, not as a file, or play the folder VIDEO_TS. Next and previous go through the list; a number goes to that pattern; menu goes to the first.", l.Image))
	for _, n := range append(append([]string{}, l.Notes...), l.Codes) {
		b.WriteByte('\n')
		wrapTo(&b, "", n)
	}
	b.WriteString("\nCaution\n")
	for _, c := range l.Cautions {
		wrapTo(&b, "  ", c)
	}
	for _, g := range l.Groups {
		fmt.Fprintf(&b, "\n%s\n%s\n", g.Name, strings.Repeat("-", utf8.RuneCountInString(g.Name)))
		wrapTo(&b, "", g.Do)
		for _, it := range g.Items {
			fmt.Fprintf(&b, "\n%2d  %s (%s)\n", it.Number, it.Spec, it.Seconds)
			wrapTo(&b, "    ", it.Use+".")
			var levels []string
			for _, v := range it.Levels {
				levels = append(levels, v.Name+" "+v.Codes)
			}
			if len(levels) > 0 {
				wrapTo(&b, "    ", "Levels: "+strings.Join(levels, "; ")+it.more()+".")
			}
			for _, n := range it.Notes {
				wrapTo(&b, "    ", n)
			}
			if it.Caution != "" {
				wrapTo(&b, "    ", "Caution: "+it.Caution)
			}
		}
	}
	fmt.Fprintf(&b, "\n%s\n", l.Program)
	return []byte(b.String())
}

func (it discItem) more() string {
	if it.More == 0 {
		return ""
	}
	return fmt.Sprintf("; and %d more, see disc.json", it.More)
}

// listWidth is the width of the text, in characters.
const listWidth = 78

// wrapTo writes a paragraph with that margin.
func wrapTo(b *strings.Builder, margin, s string) {
	used := 0
	for _, w := range strings.Fields(s) {
		n := utf8.RuneCountInString(w)
		switch {
		case used == 0:
			b.WriteString(margin)
			used = len(margin)
		case used+1+n > listWidth:
			b.WriteString("\n" + margin)
			used = len(margin)
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(w)
		used += n
	}
	b.WriteByte('\n')
}
