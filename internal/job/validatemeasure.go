package job

import (
	"fmt"
	"slices"
)

// Bounds of readings. They keep slips out, such as a light in another unit or a
// comma in the wrong place; no tolerance is among them.
const (
	leastLevel, mostLevel = -10, 120 // per cent: below black and above white, as files can hold
	mostLight             = 100000   // cd/m2: far above any picture tube
	mostMM                = 5000     // far beyond any screen
)

// Stages lists when a measurement can be made.
func Stages() []string { return []string{"", string(Before), string(After)} }

// Guns of which misconvergence is read, against the green one.
func offsetGuns() []string { return []string{"red", "blue"} }

// Validate says what is wrong with a measurement before it is recorded.
func (m *Measurement) Validate() error {
	c := new(checker)
	m.check(c)
	return c.err
}

// kept is a list of readings and the kinds of measurements that have it.
type kept struct {
	field string
	n     int
	of    []What
}

// kept says how many readings of each sort there are, and where they belong.
func (m *Measurement) kept() []kept {
	one := func(there bool) int {
		if there {
			return 1
		}
		return 0
	}
	return []kept{
		{"light", len(m.Light), []What{WhatGray, WhatGuns, WhatUniformity}},
		{"rulers", len(m.Rulers), []What{WhatGeometry}},
		{"edges", one(m.Edges != nil), []What{WhatGeometry, WhatConvergence}},
		{"offsets", len(m.Offsets), []What{WhatConvergence}},
		{"grades", len(m.Grades), []What{WhatPurity, WhatFocus}},
		{"bars", len(m.Bars), []What{WhatChroma}},
		{"sizes", len(m.Sizes), []What{WhatRegulation}},
		{"source", one(m.Source != nil), []What{WhatSource}},
	}
}

func (m *Measurement) check(c *checker) {
	var whats []string
	for _, w := range Whats() {
		whats = append(whats, string(w))
	}
	c.word("measure.what", string(m.What), whats)
	c.word("measure.stage", string(m.Stage), Stages())
	for _, t := range [][2]string{{"input", m.Input}, {"instrument", m.Instrument}, {"pattern", m.Pattern}} {
		c.clean("measure."+t[0], t[1])
	}
	readings := 0
	for _, k := range m.kept() {
		if !slices.Contains(k.of, m.What) {
			if k.n > 0 {
				c.fail("measure."+k.field, "record it as a measurement of its own", "does not belong to a measurement of %q", m.What)
			}
			continue
		}
		if k.field != "edges" { // the screen's size tells nothing by itself
			readings += k.n
		}
	}
	if readings == 0 {
		c.fail("measure", "give one reading at least", "of %q holds no reading", m.What)
	}
	m.checkLight(c)
	m.checkPlaces(c)
	m.checkEye(c)
	if s := m.Source; s != nil {
		c.some("measure.source.verdict", s.Verdict, "the verdict of backporch check")
		c.some("measure.source.sentence", s.Sentence, "the sentence of backporch check")
	}
}

// checkLight looks at what a light meter said and where the controls stood.
func (m *Measurement) checkLight(c *checker) {
	for i, l := range m.Light {
		field := fmt.Sprintf("measure.light[%d]", i)
		c.number(field+".level_percent", l.Level, leastLevel, mostLevel, "% of white")
		c.number(field+".X_cd_m2", l.X, 0, mostLight, "cd/m2")
		c.number(field+".Y_cd_m2", l.Y, 0, mostLight, "cd/m2")
		c.number(field+".Z_cd_m2", l.Z, 0, mostLight, "cd/m2")
		c.clean(field+".given", l.Given)
		switch m.What {
		case WhatGuns:
			c.some(field+".name", l.Name, "the name of the field, such as red")
		case WhatUniformity:
			c.some(field+".name", l.Name, "the name of the zone, such as center")
		}
	}
	for i, k := range m.Controls {
		field := fmt.Sprintf("measure.controls[%d]", i)
		c.some(field+".name", k.Name, "the name of the control, such as red-drive")
		c.number(field+".value", k.Value, -1e9, 1e9, "in the control's own units")
		for _, o := range m.Controls[:i] {
			if o.Name == k.Name {
				c.fail(field+".name", "give each control once", "is %q, which stands there already", k.Name)
			}
		}
	}
}

// checkPlaces looks at what was read with a ruler.
func (m *Measurement) checkPlaces(c *checker) {
	for i, r := range m.Rulers {
		field := fmt.Sprintf("measure.rulers[%d]", i)
		if r.Across == nil && r.Down == nil {
			c.fail(field, "give across_mm, down_mm or both", "holds no reading")
		}
		if r.Across != nil {
			c.number(field+".across_mm", *r.Across, -mostMM, mostMM, "mm")
		}
		if r.Down != nil {
			c.number(field+".down_mm", *r.Down, -mostMM, mostMM, "mm")
		}
	}
	if e := m.Edges; e != nil {
		c.number("measure.edges.width_mm", e.Width, 1, mostMM, "mm")
		c.number("measure.edges.height_mm", e.Height, 1, mostMM, "mm")
	}
	for i, o := range m.Offsets {
		field := fmt.Sprintf("measure.offsets[%d]", i)
		c.some(field+".zone", o.Zone, "the name of a zone, such as center")
		c.word(field+".gun", o.Gun, offsetGuns())
		c.number(field+".right_mm", o.Right, -mostMM, mostMM, "mm")
		c.number(field+".down_mm", o.Down, -mostMM, mostMM, "mm")
	}
	for i, s := range m.Sizes {
		field := fmt.Sprintf("measure.sizes[%d]", i)
		c.number(field+".level_percent", s.Level, leastLevel, mostLevel, "% of white")
		if s.Width == 0 && s.Height == 0 {
			c.fail(field, "give width_mm, height_mm or both", "holds no reading")
		}
		c.number(field+".width_mm", s.Width, 0, mostMM, "mm, where 0 is not read")
		c.number(field+".height_mm", s.Height, 0, mostMM, "mm, where 0 is not read")
	}
}

// checkEye looks at what was judged by eye, or by eye or meter.
func (m *Measurement) checkEye(c *checker) {
	for i, g := range m.Grades {
		field := fmt.Sprintf("measure.grades[%d]", i)
		c.some(field+".zone", g.Zone, "the name of a zone, such as center")
		c.clean(field+".field", g.Field)
		c.clean(field+".text", g.Text)
		if g.Grade < 1 || g.Grade > 5 { // ITU-R BT.500, impairment scale
			c.fail(field+".grade", "give 5 imperceptible, 4 perceptible, 3 slightly annoying, 2 annoying or 1 very annoying", "is %d", g.Grade)
		}
	}
	for i, b := range m.Bars {
		field := fmt.Sprintf("measure.bars[%d]", i)
		c.some(field+".name", b.Name, "the name of the bar, such as gray")
		switch {
		case b.Light != nil && (b.Than != "" || b.Looks != ""):
			c.fail(field, "give light_cd_m2, or than and looks", "is read by meter and by eye at once")
		case b.Light != nil:
			c.number(field+".light_cd_m2", *b.Light, 0, mostLight, "cd/m2")
		default:
			c.some(field+".than", b.Than, "the other bar of the pair, such as blue, or light_cd_m2")
			c.word(field+".looks", b.Looks, []string{"brighter", "equal", "darker"})
			if b.Than == b.Name {
				c.fail(field+".than", "name two bars", "is %q, the bar itself", b.Than)
			}
		}
	}
}
