package job

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/internal/typo"
)

const keyRule = "it must be made of small letters, digits and hyphens, as in own-check"

// goodKey reports whether a key is one that a user may give.
func goodKey(key string) bool {
	return key != "" && strings.Trim(key, "abcdefghijklmnopqrstuvwxyz0123456789-") == "" && strings.Trim(key, "-") == key
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// stem is the key of a step without the input that it is of: "chroma" of
// "chroma@video-1".
func stem(key string) string {
	s, _, _ := strings.Cut(key, "@")
	return s
}

// withOwn joins the built-in steps and the user's. Each of these gets its place
// behind the last step that it comes after, else in front of the first that it
// comes before, else at the end. What it says of steps that come after it stands
// with those, as a need.
func withOwn(built, own []Step) ([]Step, error) {
	all := built
	for _, s := range own {
		switch {
		case !goodKey(s.Key):
			return nil, fmt.Errorf("a step's key %q: %s", s.Key, keyRule)
		case slices.Contains(builtinStems(), s.Key):
			return nil, fmt.Errorf("step %q is built in and cannot be defined anew: give your own another key, and say with after or before where it belongs", s.Key)
		}
		at := len(all)
		if n := lastOf(all, s.After); n >= 0 {
			at = n + 1
		} else if n := firstOf(all, s.Before); n >= 0 {
			at = n
		}
		all = slices.Insert(slices.Clone(all), at, s)
	}
	keys := make([]string, len(all))
	for i, s := range all {
		keys[i] = s.Key
	}
	for i := range all {
		s := &all[i]
		for _, list := range []*[]Need{&s.After, &s.Before, &s.Again} {
			needs, err := resolve(s.Key, *list, keys)
			if err != nil {
				return nil, err
			}
			*list = needs
		}
	}
	for _, s := range all {
		for _, b := range s.Before {
			n := slices.Index(keys, b.Step)
			all[n].After = append(slices.Clip(all[n].After), Need{s.Key, b.Why})
		}
	}
	return all, nil
}

func lastOf(all []Step, needs []Need) int {
	last := -1
	for i, s := range all {
		if slices.ContainsFunc(needs, func(n Need) bool { return n.Step == s.Key || n.Step == stem(s.Key) }) {
			last = i
		}
	}
	return last
}

func firstOf(all []Step, needs []Need) int {
	return slices.IndexFunc(all, func(s Step) bool {
		return slices.ContainsFunc(needs, func(n Need) bool { return n.Step == s.Key || n.Step == stem(s.Key) })
	})
}

// resolve turns needs into those of one plan: "chroma" becomes the step of every
// input, and what this set does not have is left out. A name that no plan can
// have is an error.
func resolve(of string, needs []Need, keys []string) (list []Need, err error) {
	add := func(n Need) {
		if !slices.ContainsFunc(list, func(o Need) bool { return o.Step == n.Step }) {
			list = append(list, n)
		}
	}
	for _, n := range needs {
		found := false
		for _, k := range keys {
			if n.Step == k || n.Step == stem(k) {
				add(Need{k, n.Why})
				found = true
			}
		}
		if !found && !slices.Contains(builtinStems(), stem(n.Step)) {
			names := slices.Concat(keys, builtinStems())
			return nil, fmt.Errorf("step %q names a step %q that no plan has%s", of, n.Step, typo.Suggest(n.Step, names))
		}
	}
	return list, nil
}

// checkSteps holds what steps say to what there is.
func (p *Plan) checkSteps(steps []Step) error {
	cautions := cautionKeys()
	var limits, whats []string
	for _, l := range p.Limits {
		limits = append(limits, l.Key)
	}
	for _, w := range Whats() {
		whats = append(whats, string(w))
	}
	for _, s := range steps {
		if s.Title == "" || s.Do == "" {
			return fmt.Errorf("step %q needs a title, and says in do what to do", s.Key)
		}
		for _, k := range s.Limits {
			if !slices.Contains(limits, k) {
				return fmt.Errorf("step %q is held to a tolerance %q that there is not%s", s.Key, k, typo.Suggest(k, limits))
			}
		}
		for _, k := range s.Cautions {
			if !slices.Contains(cautions, k) {
				return fmt.Errorf("step %q has a caution %q that there is not%s; there are %s", s.Key, k, typo.Suggest(k, cautions), strings.Join(cautions, ", "))
			}
		}
		if s.Measure != "" && !slices.Contains(whats, string(s.Measure)) {
			return fmt.Errorf("step %q has a kind of readings %q that there is not%s; there are %s", s.Key, s.Measure, typo.Suggest(string(s.Measure), whats), strings.Join(whats, ", "))
		}
		for _, n := range slices.Concat(s.After, s.Before, s.Again) {
			if strings.TrimSpace(n.Why) == "" {
				return fmt.Errorf("step %q does not say why for step %q: each needs a reason, which the program repeats when it opens a step again", s.Key, n.Step)
			}
		}
	}
	return nil
}

// order returns the steps so that each comes after all that it needs, else as
// they stand. A circle of needs is an error that names it.
func order(steps []Step) ([]Step, error) {
	const (
		fresh = iota
		begun
		placed
	)
	index := make(map[string]int, len(steps))
	for i, s := range steps {
		index[s.Key] = i
	}
	state := make([]int, len(steps))
	list := make([]Step, 0, len(steps))
	var path []int
	var visit func(i int) error
	visit = func(i int) error {
		switch state[i] {
		case placed:
			return nil
		case begun:
			return circle(steps, append(path[slices.Index(path, i):], i))
		}
		state[i] = begun
		path = append(path, i)
		var needs []int
		for _, n := range steps[i].After {
			needs = append(needs, index[n.Step])
		}
		slices.Sort(needs)
		for _, n := range needs {
			if err := visit(n); err != nil {
				return err
			}
		}
		path = path[:len(path)-1]
		state[i] = placed
		list = append(list, steps[i])
		return nil
	}
	for i := range steps {
		if err := visit(i); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// circle is the error of needs that come back to where they began; path is by
// index, its first step again at the end.
func circle(steps []Step, path []int) error {
	var b strings.Builder
	b.WriteString("the steps wait for each other: ")
	for i, n := range path {
		if i > 0 {
			b.WriteString(" after ")
		}
		b.WriteString(steps[n].Key)
	}
	b.WriteString("; take one of these needs away")
	return errors.New(b.String())
}
