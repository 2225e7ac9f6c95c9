package kit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"backporch/pattern"
)

// specs is what a kit holds, by groups of the catalogue; the first is the proof
// that the player shows files one to one. A kit puts them in the order of work
// (stepOf). Moving patterns are spelled with periods that keep the whole kit
// below 60 MB.
var specs = []string{
	"one-to-one",

	"flat color=gray-50",
	"flat color=red",
	"flat color=green",
	"flat color=blue",
	"flat color=white",
	"flat color=black",

	"crosshatch",
	"crosshatch color=yellow",
	"crosshatch color=magenta",
	"crosshatch color=cyan",
	"dots",
	"crosshatch-dots",
	"circles",
	"safe-area",
	"focus-field",
	"focus-field polarity=dark",

	"pluge variant=eg1",
	"pluge variant=bt814",
	"pluge variant=analog",
	"near-black",
	"window",
	"staircase risers=5",
	"staircase risers=10 direction=both",
	"staircase risers=5 modulated",
	"ramp",
	"ramp range=near-black",
	"ramp direction=vertical",
	"ramp modulated",
	"streaking",

	"bars-full set=100/0/100/0",
	"bars-full set=100/0/75/0",
	"bars-full set=75/0/75/0",
	"bars-full set=100/0/100/25",
	"bars-eia189",
	"bars-eg1",
	"bars-rp219",
	"bars-split-red",
	"vectors",
	"chroma-steps",
	"chroma-steps set=j63",
	"chroma-delay",
	"cross-color",

	"multiburst",
	"sweep",
	"tv-lines",
	"line-pairs",
	"zone-plate",
	"pulse-bar",

	"bounce shape=field", // nothing in a kit flashes unasked
	"moving-bar fields=8",
	"field-order fields=20",
	"line-twitter",
	"half-line",
	"count until=4",
}

// An item is one entry of a kit.
type item struct {
	Number  int
	Spec    string
	Slug    string // of its file names
	Step    int    // in steps
	Entry   pattern.Entry
	Pattern pattern.Pattern
}

// itemsOf returns the items of a kit in the order of work, numbered from 1.
// Short names have eight characters at most.
func itemsOf(asked []string, short bool) ([]item, error) {
	spellings, err := chosen(asked)
	if err != nil {
		return nil, err
	}
	list := make([]item, len(spellings))
	for i, s := range spellings {
		e, p, _, err := pattern.Resolve(s)
		if err != nil {
			return nil, err
		}
		list[i] = item{Spec: s, Step: stepOf(s, e), Entry: e, Pattern: p}
	}
	slices.SortStableFunc(list, func(a, b item) int { return cmp.Compare(a.Step, b.Step) })
	for i := range list {
		it := &list[i]
		it.Number = i + 1
		it.Slug = fmt.Sprintf("%02d-%s", it.Number, slug(it.Spec))
		if short {
			it.Slug = shortSlug(it.Number, it.Spec)
		}
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

// shortSlug is a name of eight capitals and digits at most: the number, and of
// the spelling the beginning of its name and of its last option.
func shortSlug(number int, spec string) string {
	head := fmt.Sprintf("%02d", number)
	room := 8 - len(head)
	name, options, _ := strings.Cut(spec, " ")
	letters := func(s string, most int) string {
		s = strings.ReplaceAll(strings.ToUpper(slug(s)), "-", "")
		return s[:min(len(s), most)]
	}
	tail := ""
	if f := strings.Fields(options); len(f) > 0 {
		tail = letters(f[len(f)-1], room/2)
	}
	return head + letters(name, room-len(tail)) + tail
}

// cautions stand on the page of every kit.
var cautions = []string{
	"A picture-tube set holds lethal voltages: some 25 kV at the tube, for an hour or longer after it is unplugged, and mains on its chassis. An isolation transformer does not protect against the former.",
	"A tube can implode: wear eye protection and never lift it by its neck. Too high a voltage makes X-radiation: keep it at or below its rated value and never defeat the protection circuits.",
	"Bright still pictures burn the phosphor: do not leave white, bars or a crosshatch on longer than the work needs, and turn contrast down meanwhile.",
	"Fine rows flicker on an interlaced picture, and some videos flash or move: that can set off seizures in people with photosensitive epilepsy, also in some who do not know that they have it. Warn all who can see the screen, and look away or stop at the first discomfort.",
	"Follow the maker's service data and local codes. If you are not trained and licensed for this work, leave it to those who are.",
}

// flashing is the caution of kits that hold a picture whose level jumps.
const flashing = "One of the videos flashes over the whole picture: do not play it before all who can see the screen are warned."
