package kit

import (
	"fmt"
	"strings"

	"backporch/pattern"
)

// specs is what a kit holds, in order of work: the proof that the player shows
// files one to one, then purity, convergence and geometry, levels, color.
var specs = []string{
	"one-to-one",

	"flat color=gray-50",
	"flat color=red",
	"flat color=green",
	"flat color=blue",
	"flat color=white",
	"flat color=black",
	"bars-split-red",

	"crosshatch",
	"crosshatch color=yellow",
	"crosshatch color=magenta",
	"crosshatch color=cyan",
	"dots",
	"crosshatch-dots",
	"circles",
	"safe-area",

	"pluge variant=eg1",
	"pluge variant=bt814",
	"pluge variant=analog",
	"near-black",
	"window",
	"staircase risers=5",
	"staircase risers=10 direction=both",
	"ramp",
	"ramp range=near-black",
	"ramp direction=vertical",

	"bars-full set=100/0/100/0",
	"bars-full set=100/0/75/0",
	"bars-full set=75/0/75/0",
	"bars-full set=100/0/100/25",
	"bars-eia189",
	"bars-eg1",
	"bars-rp219",
}

// An item is one entry of a kit.
type item struct {
	Number  int
	Spec    string
	Slug    string // of its file names
	Entry   pattern.Entry
	Pattern pattern.Pattern
}

func items() ([]item, error) {
	list := make([]item, len(specs))
	for i, s := range specs {
		name, _, _ := strings.Cut(s, " ")
		e, err := pattern.Find(name)
		if err != nil {
			return nil, err
		}
		p, err := pattern.Parse(s)
		if err != nil {
			return nil, err
		}
		list[i] = item{i + 1, s, fmt.Sprintf("%02d-%s", i+1, slug(s)), e, p}
	}
	return list, nil
}

// slug turns a spelling into a file name that every file system takes: the
// pattern's name and the values of its options.
func slug(spec string) string {
	var parts []string
	for _, f := range strings.Fields(spec) {
		if _, value, ok := strings.Cut(f, "="); ok {
			f = value
		}
		parts = append(parts, f)
	}
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune("abcdefghijklmnopqrstuvwxyz0123456789-", r) {
			return r
		}
		return '-'
	}, strings.ToLower(strings.Join(parts, "-")))
}

// cautions stand on the page of every kit.
var cautions = []string{
	"A picture-tube set holds lethal voltages: some 25 kV at the tube, for an hour or longer after it is unplugged, and mains on its chassis. An isolation transformer does not protect against the former.",
	"A tube can implode: wear eye protection and never lift it by its neck. Too high a voltage makes X-radiation: keep it at or below its rated value and never defeat the protection circuits.",
	"Bright still pictures burn the phosphor: do not leave white, bars or a crosshatch on longer than the work needs, and turn contrast down meanwhile.",
	"Follow the maker's service data and local codes. If you are not trained and licensed for this work, leave it to those who are.",
}
