package job

import (
	"fmt"
	"strings"
)

// Template returns a commented workshop file: a step and a tolerance that work
// as they stand, and what else can be said.
func Template() string {
	var b strings.Builder
	b.WriteString(`# The workshop's own steps and tolerances. Put this file as ` + WorkshopFile + ` into the
# bench folder: every job there follows it. Lines that begin with # are comments;
# take the sign away from a key to use it.

# A step of your own. Give one such table for each.
[[step]]
## Small letters, digits and hyphens; unique, and not that of a built-in step.
key = "old-screws"
title = "Screws and grounds"
## What to do, in order, as whole sentences.
do = "Tighten the ground straps and look for cracked joints at the tube's base."
## What to look for; how it is adjusted.
look = "No strap is loose, no joint has a ring around its pin."
# adjust = "None."
## What it shows, as ` + "`backporch render`" + ` spells it; more has further ones.
# pattern = "crosshatch color=magenta"
# more = ["dots"]
## What must be done before it, and which steps must come after it, each with the
## reason that is told when a step opens again. chroma alone stands for every
## input, chroma@video-1 for one; a step that a set does not have counts as done.
after = [{ step = "proof", why = "the set would be blamed for its source" }]
before = [{ step = "purity", why = "a loose strap shifts the beams" }]
## What is opened once more when this step sends the work back.
# again = [{ step = "purity", why = "a strap was moved" }]
## Only for sets that have an input of this name.
# input = "video-1"
`)
	var whats []string
	for _, w := range Whats() {
		whats = append(whats, string(w))
	}
	list(&b, "Which readings belong to it: one of", whats)
	b.WriteString("# measure = \"purity\"\n")
	var keys []string
	for _, r := range builtinLimits() {
		keys = append(keys, r.key)
	}
	list(&b, "Tolerances it is held to, your own or of", keys)
	b.WriteString("# limits = [\"purity-grade\"]\n")
	list(&b, "Cautions that stand with it, the nearest hazard first, of", cautionKeys())
	b.WriteString("cautions = [\"high-voltage\", \"stored-charge\"]\n")
	b.WriteString("## Where it comes from; without it: the workshop's own.\n# source = \"common practice\"\n")
	list(&b, "The built-in steps are", builtinStems())
	b.WriteString(`
# A tolerance of your own, or another bound for a built-in one, which then keeps
# its name and unit, and the bound that is not given. Built in are, for grade 1,
# grade 2 and grade 3:
`)
	all := [][]Limit{limitsOf(Grade1), limitsOf(Grade2), limitsOf(Grade3)}
	for i, l := range all[0] {
		fmt.Fprintf(&b, "#   %-21s %s, %s, %s", l.Key, bounds(l), bounds(all[1][i]), bounds(all[2][i]))
		if l.Unit != "" {
			b.WriteString(" " + l.Unit)
		}
		b.WriteString("\n")
	}
	b.WriteString(`[[limit]]
key = "white-luminance"
min = 80
max = 100
## Without it: the workshop's own.
# source = "common practice"

# [[limit]]
# key = "mains-leakage"
# name = "Leakage from the case to ground"
# unit = "mA"
# max = 0.25
`)
	return b.String()
}

// bounds writes a tolerance as text.
func bounds(l Limit) string {
	switch {
	case l.Min == nil:
		return fmt.Sprintf("to %g", *l.Max)
	case l.Max == nil:
		return fmt.Sprintf("from %g", *l.Min)
	case *l.Min == -*l.Max:
		return fmt.Sprintf("±%g", *l.Max)
	}
	return fmt.Sprintf("%g to %g", *l.Min, *l.Max)
}

// list writes words as lines of at most 78 characters that begin with ##, so
// that they are not taken for keys.
func list(b *strings.Builder, text string, words []string) {
	line := "##"
	for _, word := range strings.Fields(text + " " + strings.Join(words, ", ") + ".") {
		if len(line)+1+len(word) > 78 {
			b.WriteString(line + "\n")
			line = "##"
		}
		line += " " + word
	}
	b.WriteString(line + "\n")
}
