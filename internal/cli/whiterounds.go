package cli

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"backporch/internal/meter"
	"backporch/internal/white"
)

// A roundsFile is what a file of rounds holds.
type roundsFile struct {
	Knobs  []white.Control
	Rounds []white.Round
	Last   int // number of the last round
	Head   []string
}

// roundHead is the head of the files that we write.
func roundHead(knobs []white.Control) []string {
	return append([]string{"round", "level_percent", "x", "y", "Y"}, knobNames(knobs)...)
}

// roundsTemplate is an empty file of rounds.
func roundsTemplate(knobs []white.Control) string {
	return "# Rounds of white balance, a line a reading: where the knobs stand, and what the gray step reads (Y in cd/m2).\n" +
		"# A round is one setting of the knobs; repeat a level to take the mean of several readings. Lines with # are passed over.\n" +
		knobsLine + knobSpec(knobs) + "\n" +
		strings.Join(roundHead(knobs), ",") + "\n"
}

// knobsLine begins the line of a file of rounds that says travel and step of
// the knobs, as --knobs does.
const knobsLine = "# knobs: "

// knobsOf finds that line; "" where there is none.
func knobsOf(lines []string) string {
	for _, l := range lines {
		if spec, ok := strings.CutPrefix(strings.TrimSpace(l), strings.TrimSpace(knobsLine)); ok {
			return strings.TrimSpace(spec)
		}
	}
	return ""
}

// readRounds reads a file of rounds. The light is found as in every table of
// readings; knobs are the columns whose heads name a gun and drive or cutoff.
func readRounds(text string) (*roundsFile, error) {
	lines := strings.Split(strings.ReplaceAll(strings.TrimPrefix(text, "\ufeff"), "\r\n", "\n"), "\n")
	head := -1
	for i, l := range lines {
		if l = strings.TrimSpace(l); l != "" && l[0] != '#' {
			head = i
			break
		}
	}
	if head < 0 {
		return nil, errors.New("the file is empty; `backporch white --template --knobs ...` prints one to fill in")
	}
	comma := ','
	switch {
	case strings.Contains(lines[head], "\t"):
		comma = '\t'
	case strings.Contains(lines[head], ";"):
		comma = ';'
	}
	f := &roundsFile{}
	cells, err := roundCells(lines[head], comma)
	if err != nil {
		return nil, fmt.Errorf("line %d: %w", head+1, err)
	}
	f.Head = cells
	round, at, err := f.columns()
	if err != nil {
		return nil, fmt.Errorf("line %d: %w", head+1, err)
	}
	if spec := knobsOf(lines[:head]); spec != "" {
		named, err := parseKnobs(spec)
		if err == nil {
			f.Knobs, err = sameKnobs(f.Knobs, named)
		}
		if err != nil {
			return nil, fmt.Errorf("%s%w", knobsLine, err)
		}
	}
	// Each round is read as a table of its own, on its own lines.
	of := map[int][]string{}
	settings := map[int][]float64{}
	for i := head + 1; i < len(lines); i++ {
		if l := strings.TrimSpace(lines[i]); l == "" || l[0] == '#' {
			continue
		}
		cells, err := roundCells(lines[i], comma)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
		n, s, err := f.row(cells, round, at, comma)
		if err != nil {
			return nil, fmt.Errorf("line %d, %w", i+1, err)
		}
		switch was, known := settings[n]; {
		case n != f.Last && n != f.Last+1:
			return nil, fmt.Errorf("line %d: round %d follows round %d; rounds count from 1, one after another", i+1, n, f.Last)
		case !known:
			table := make([]string, len(lines))
			table[head] = lines[head]
			settings[n], of[n], f.Last = s, table, n
		default:
			for k := range s {
				if s[k] != was[k] {
					return nil, fmt.Errorf("line %d: %s stands at %g and in the same round at %g; a round is one setting, number the next one %d", i+1, f.Knobs[k].Name, s[k], was[k], n+1)
				}
			}
		}
		of[n][i] = lines[i]
	}
	for n := 1; n <= f.Last; n++ {
		samples, err := meter.ReadTable(strings.NewReader(strings.Join(of[n], "\n")), nil)
		if err != nil {
			return nil, fmt.Errorf("round %d: %w", n, err)
		}
		steps, err := graySteps(samples)
		if err != nil {
			return nil, fmt.Errorf("round %d: %w", n, err)
		}
		f.Rounds = append(f.Rounds, white.Round{Settings: settings[n], Steps: steps})
	}
	return f, nil
}

func roundCells(line string, comma rune) ([]string, error) {
	c := csv.NewReader(strings.NewReader(line))
	c.Comma, c.TrimLeadingSpace = comma, comma != '\t'
	cells, err := c.Read()
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, errors.New("a cell with quotes has them at both ends")
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells, nil
}

// columns finds the column of rounds and those of the knobs.
func (f *roundsFile) columns() (round int, at []int, err error) {
	round = -1
	for i, h := range f.Head {
		if strings.EqualFold(h, "round") {
			round = i
			continue
		}
		c, err := parseKnob(h)
		if err != nil {
			continue
		}
		for _, k := range f.Knobs {
			if k.Name == c.Name {
				return 0, nil, fmt.Errorf("two columns are headed %s", c.Name)
			}
		}
		f.Knobs, at = append(f.Knobs, c), append(at, i)
	}
	switch {
	case round < 0:
		return 0, nil, errors.New(`there is no column "round"; write a head such as round,level_percent,x,y,Y,red-drive,blue-drive`)
	case len(at) == 0:
		return 0, nil, errors.New("there is no column of a knob; head one with gun and role, such as red-drive or blue-cutoff")
	}
	return round, at, nil
}

func (f *roundsFile) row(cells []string, round int, at []int, comma rune) (n int, settings []float64, err error) {
	cell := func(i int) string {
		if i < len(cells) {
			return cells[i]
		}
		return ""
	}
	if n, err = strconv.Atoi(cell(round)); err != nil {
		return 0, nil, fmt.Errorf("column %q: %q is no number of a round", f.Head[round], cell(round))
	}
	for k, i := range at {
		text := cell(i)
		if comma != ',' {
			text = strings.Replace(text, ",", ".", 1)
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || v-v != 0 {
			return 0, nil, fmt.Errorf("column %q: %q does not say where %s stands; every line has the setting of every knob", f.Head[i], cell(i), f.Knobs[k].Name)
		}
		settings = append(settings, v)
	}
	return n, settings, nil
}

// graySteps are the steps of a round: several readings of a level are one, their
// mean, with the noise that their spread gives it.
func graySteps(samples []meter.Sample) (steps []white.Reading, err error) {
	samples = slices.Clone(samples)
	for i, s := range samples {
		if s.Name != "" && s.Name != "white" && s.Name != "black" && s.Name != "gray" {
			return nil, fmt.Errorf("%s is no gray step; leave it out", s.Name)
		}
		samples[i].Name = ""
	}
	for _, m := range meter.Average(samples) {
		r := white.Reading{Level: m.Level, XYZ: m.XYZ}
		if m.N >= 4 && min(m.XYZ.X, m.XYZ.Y, m.XYZ.Z) > 0 { // fewer tell little of their spread
			one := math.Hypot(math.Hypot(m.Sigma.X/m.XYZ.X, m.Sigma.Y/m.XYZ.Y), m.Sigma.Z/m.XYZ.Z) / math.Sqrt(3)
			r.Noise = one / math.Sqrt(float64(m.N))
		}
		steps = append(steps, r)
	}
	return steps, nil
}

// withRound is the text of a file of rounds with one more.
func (f *roundsFile) withRound(text string, knobs []white.Control, settings []float64, samples []meter.Sample) (string, error) {
	head := roundHead(knobs)
	if text == "" {
		text = roundsTemplate(knobs)
	} else if !strings.EqualFold(strings.Join(f.Head, ","), strings.Join(head, ",")) || strings.Join(f.Head[2:5], "") != "xyY" {
		return "", fmt.Errorf("its columns are %s and not %s, so nothing is added; write the readings into it by hand", strings.Join(f.Head, ","), strings.Join(head, ","))
	}
	if !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	figure := func(v float64, digits int) string { return strconv.FormatFloat(v, 'g', digits, 64) }
	var b strings.Builder
	for _, s := range samples {
		xy, ok := s.XYZ.XY()
		if !ok {
			return "", fmt.Errorf("the step at %g %% gives no light; leave it out", 100*s.Level)
		}
		cells := []string{strconv.Itoa(f.Last + 1), figure(100*s.Level, 6), figure(xy.X, 9), figure(xy.Y, 9), figure(s.XYZ.Y, 9)}
		for _, v := range settings {
			cells = append(cells, figure(v, -1))
		}
		b.WriteString(strings.Join(cells, ",") + "\n")
	}
	return text + b.String(), nil
}
