package kit

import (
	"fmt"
	"slices"
	"strings"

	"backporch/internal/typo"
	"backporch/pattern"
)

// groupWords are the short words for the groups of the catalogue.
var groupWords = []struct{ word, group string }{
	{"source", pattern.GroupSource},
	{"purity", pattern.GroupPurity},
	{"geometry", pattern.GroupGeometry},
	{"levels", pattern.GroupLevels},
	{"color", pattern.GroupColor},
	{"detail", pattern.GroupDetail},
	{"time", pattern.GroupTime},
}

// GroupWords lists the words that stand for groups in Request.Patterns, in
// working order.
func GroupWords() (words []string) {
	for _, g := range groupWords {
		words = append(words, g.word)
	}
	return words
}

// chosen returns the spellings that are asked for, in the order of the list and
// those that are not in it behind: a word is a group, the name of a pattern
// (all its spellings in the list), or a spelling with options. The proof of
// one-to-one playback is always there.
func chosen(asked []string) ([]string, error) {
	if len(asked) == 0 {
		return specs, nil
	}
	in := map[string]bool{specs[0]: true}
	var more []string
	for _, word := range asked {
		if strings.ContainsAny(word, " =") {
			spec, err := respelled(word)
			if err != nil {
				return nil, err
			}
			if !slices.Contains(specs, spec) && !slices.Contains(more, spec) {
				more = append(more, spec)
			}
			in[spec] = true
			continue
		}
		group := ""
		for _, g := range groupWords {
			if strings.EqualFold(g.word, word) {
				group = g.group
			}
		}
		found := false
		for _, s := range specs {
			e, _, _, err := pattern.Resolve(s)
			if err != nil {
				return nil, err
			}
			if e.Group == group || strings.EqualFold(e.Name, word) {
				in[s], found = true, true
			}
		}
		if !found {
			return nil, fmt.Errorf("--patterns: unknown pattern or group %q%s; groups are %s, and `backporch list patterns` names the patterns",
				word, typo.Suggest(word, append(GroupWords(), names()...)), strings.Join(GroupWords(), ", "))
		}
	}
	var list []string
	for _, s := range specs {
		if in[s] {
			list = append(list, s)
		}
	}
	return append(list, more...), nil
}

// respelled returns a spelling as the list has it: options in the order of the
// pattern, without those that are at their defaults. One that the list writes
// out in full is found all the same.
func respelled(word string) (string, error) {
	if strings.TrimSpace(word) == "" {
		return "", fmt.Errorf("--patterns: a pattern has no name; `backporch list patterns` names them all")
	}
	canon := func(spec string) (string, error) {
		e, _, options, err := pattern.Resolve(spec)
		if err != nil {
			return "", err
		}
		return pattern.Spell(e, options), nil
	}
	want, err := canon(word)
	if err != nil {
		return "", err
	}
	for _, s := range specs {
		if c, err := canon(s); err == nil && c == want {
			return s, nil
		}
	}
	return want, nil
}

// names lists the catalogue.
func names() (list []string) {
	for _, e := range pattern.All() {
		list = append(list, e.Name)
	}
	return list
}
