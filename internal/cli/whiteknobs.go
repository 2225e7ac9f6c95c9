package cli

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"backporch/internal/white"
)

func gunNames() []string {
	return []string{white.Red.String(), white.Green.String(), white.Blue.String()}
}

// parseKnobs reads --knobs: "red-drive=0..255/1,green-cutoff".
func parseKnobs(text string) (list []white.Control, err error) {
	for _, part := range strings.Split(text, ",") {
		name, travel, has := strings.Cut(strings.TrimSpace(part), "=")
		c, err := parseKnob(name)
		if err != nil {
			return nil, err
		}
		if has {
			if err := parseTravel(&c, travel); err != nil {
				return nil, err
			}
		}
		if slices.ContainsFunc(list, func(k white.Control) bool { return k.Name == c.Name }) {
			return nil, fmt.Errorf("%s stands there twice; give it once", c.Name)
		}
		list = append(list, c)
	}
	return list, nil
}

// parseKnob finds gun and role in the name of a knob.
func parseKnob(name string) (c white.Control, err error) {
	c.Name = strings.ToLower(strings.TrimSpace(name))
	gun, role := -1, -1
	for _, word := range strings.FieldsFunc(c.Name, func(r rune) bool { return r == '-' || r == '_' || r == ' ' }) {
		switch word {
		case "red", "r":
			gun = int(white.Red)
		case "green", "g":
			gun = int(white.Green)
		case "blue", "b":
			gun = int(white.Blue)
		case "drive", "gain":
			role = int(white.Drive)
		case "cutoff", "bias":
			role = int(white.Cutoff)
		}
	}
	if gun < 0 || role < 0 {
		return c, fmt.Errorf("%q does not say which gun and what it does; name a knob such as red-drive, blue-gain, green-cutoff or red-bias", name)
	}
	c.Gun, c.Role = white.Gun(gun), white.Role(role)
	return c, nil
}

// parseTravel reads "0..255/1".
func parseTravel(c *white.Control, text string) error {
	travel, step, stepped := strings.Cut(strings.TrimSpace(text), "/")
	least, most, ok := strings.Cut(travel, "..")
	var bad [3]error
	c.Least, bad[0] = strconv.ParseFloat(strings.TrimSpace(least), 64)
	c.Most, bad[1] = strconv.ParseFloat(strings.TrimSpace(most), 64)
	if stepped {
		c.Step, bad[2] = strconv.ParseFloat(strings.TrimSpace(step), 64)
	}
	switch {
	case !ok || bad[0] != nil || bad[1] != nil || bad[2] != nil || c.Least-c.Least != 0 || c.Most-c.Most != 0 || c.Step-c.Step != 0:
		return fmt.Errorf("%s: %q is no travel; write LEAST..MOST, or LEAST..MOST/STEP, such as 0..255/1, or the name alone where it is not known; where it stands belongs to --at", c.Name, text)
	case c.Most <= c.Least:
		return fmt.Errorf("%s: the travel %s ends before it begins; the lower end comes first", c.Name, travel)
	case c.Step < 0 || stepped && c.Step == 0 || c.Step > c.Most-c.Least:
		return fmt.Errorf("%s: a step of %g in %s; give the smallest move, or leave it out", c.Name, c.Step, travel)
	}
	return nil
}

// knobSpec writes knobs as parseKnobs reads them.
func knobSpec(list []white.Control) string {
	var parts []string
	for _, c := range list {
		text := c.Name
		if c.Most > c.Least {
			text += fmt.Sprintf("=%g..%g", c.Least, c.Most)
			if c.Step > 0 {
				text += fmt.Sprintf("/%g", c.Step)
			}
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, ",")
}

// parseAt reads --at, and puts it in the order of the knobs.
func parseAt(text string, list []white.Control) ([]float64, error) {
	settings := make([]float64, len(list))
	seen := make([]bool, len(list))
	for _, part := range strings.Split(text, ",") {
		name, value, _ := strings.Cut(part, "=")
		name = strings.ToLower(strings.TrimSpace(name))
		i := slices.IndexFunc(list, func(c white.Control) bool { return c.Name == name })
		v, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
		switch {
		case err != nil || v-v != 0:
			return nil, fmt.Errorf("%q does not say where a knob stands; write it as red-drive=128,green-cutoff=40", strings.TrimSpace(part))
		case i < 0:
			return nil, fmt.Errorf("there is no knob %q; there are %s", name, strings.Join(knobNames(list), ", "))
		case seen[i]:
			return nil, fmt.Errorf("%s stands there twice; give it once", name)
		case list[i].Most > list[i].Least && (v < list[i].Least || v > list[i].Most):
			return nil, fmt.Errorf("%s=%g lies outside its travel, %g to %g; correct one of them (the travel is that of --knobs, or of the file of rounds)", name, v, list[i].Least, list[i].Most)
		}
		settings[i], seen[i] = v, true
	}
	for i, c := range list {
		if !seen[i] {
			return nil, fmt.Errorf("it is not said where %s stands; write it as red-drive=128,green-cutoff=40, all knobs in one", c.Name)
		}
	}
	return settings, nil
}

func knobNames(list []white.Control) (names []string) {
	for _, c := range list {
		names = append(names, c.Name)
	}
	return names
}

// sameKnobs gives knobs that stand in a file the travel and step of --knobs.
func sameKnobs(inFile, named []white.Control) ([]white.Control, error) {
	if len(named) == 0 {
		return inFile, nil
	}
	for i, c := range inFile {
		k := slices.IndexFunc(named, func(n white.Control) bool { return n.Name == c.Name })
		if k < 0 {
			return nil, fmt.Errorf("%s has a column in the rounds and is not among %s; name it, too", c.Name, strings.Join(knobNames(named), ", "))
		}
		inFile[i] = named[k]
	}
	for _, n := range named {
		if !slices.ContainsFunc(inFile, func(c white.Control) bool { return c.Name == n.Name }) {
			return nil, fmt.Errorf("%s has no column in the rounds, which have %s; add one, or leave the knob out", n.Name, strings.Join(knobNames(inFile), ", "))
		}
	}
	return inFile, nil
}
