package pattern

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// Multiburst is packets of luma of rising frequency on one level, after a flag
// of the level that they are compared with.
type Multiburst struct {
	Set       string // combination, fcc, oirt, or frequencies in MHz with commas between
	Flag      string // "set", or per cent of white; as are the others
	Pedestal  string
	Amplitude string // peak to peak
}

// packetGap is the least distance of two packets, in microseconds, by which
// the number of whole cycles is found: ITU-T J.63 (1990) Annexes I and II.
const packetGap = 0.4

// Limits of the frequencies that the user may list.
const (
	leastBurst, greatestBurst = 0.1, 30
	maxBursts                 = 12
)

var burstSets = []string{"combination", "fcc", "oirt"}

var burstRange = fmt.Sprintf("combination, fcc, oirt (625 lines), or 1 to %d frequencies, %v to %d MHz, as in 0.5,1,2,3", maxBursts, leastBurst, greatestBurst)

// A burstLine is a multiburst: levels in parts of white, times in microseconds
// after 0H. Slots has one place more than MHz: where the packet after the last
// one would begin.
type burstLine struct {
	MHz                  []float64
	Flag, Low, Level, PP float64 // Low is the second half of the flag
	Begin, Half, Settle  float64 // of the flag, of Low, of the pedestal
	Slots                []float64
	End                  float64 // of the pedestal
	ire                  bool    // levels are stated in IRE
}

// parseBursts reads a list of frequencies.
func parseBursts(s string) ([]float64, error) {
	var list []float64
	for _, text := range strings.Split(s, ",") {
		f, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil || !(f >= leastBurst && f <= greatestBurst) {
			return nil, fmt.Errorf("%q is not %s", s, burstRange)
		}
		if slices.Contains(list, f) {
			return nil, fmt.Errorf("%v MHz stands twice in %q; name each frequency once", f, s)
		}
		list = append(list, f)
	}
	if len(list) > maxBursts {
		return nil, fmt.Errorf("%d frequencies are more than %d; take %s", len(list), maxBursts, burstRange)
	}
	return list, nil
}

func checkBursts(s string) error {
	if slices.Contains(burstSets, strings.ToLower(s)) {
		return nil
	}
	_, err := parseBursts(s)
	return err
}

// j63 is the line of ITU-T J.63 (1990): Annex II for 525 lines, Annex I for
// 625, with the frequencies given. Only its packets: the chroma that follows
// them at 525 lines is a signal of its own.
func (v View) j63(mhz ...float64) burstLine {
	b := burstLine{MHz: mhz, ire: !v.lines625()}
	at := func(k int64) float64 { return v.insertionTime(k).Float64() }
	if v.lines625() {
		for k := range int64(7) {
			b.Slots = append(b.Slots, at(12+3*k))
		}
		b.Begin, b.Half, b.Settle, b.End = at(6), at(8), at(10), at(31)
		b.Flag, b.Low, b.Level, b.PP = 560.0/700, 140.0/700, 350.0/700, 420.0/700
		return b
	}
	// Flag 8 units long, pedestal to the 100th. The last packet has as much room
	// as the one before.
	for _, k := range []int64{12, 24, 32, 40, 48, 56, 64} {
		b.Slots = append(b.Slots, at(k))
	}
	b.Begin, b.Half, b.Settle, b.End = at(0), at(8), at(8), at(100)
	b.Level, b.PP = v.ire(50), 50*v.perIRE()
	b.Flag, b.Low = 1, b.Level
	return b
}

// ire returns a level in IRE on the wire as a part of white; 625 lines have no
// setup.
func (v View) ire(level float64) float64 { return 1 - float64((100-level)*v.perIRE()) }

// spread lays frequencies out in slots of equal width over the shown picture,
// after a flag in the first one.
func (v View) spread(mhz []float64) burstLine {
	const margin = 0.03
	b := burstLine{MHz: mhz, Flag: 1, Low: 0.5, Level: 0.5, PP: 0.5}
	slot := (1 - 2*margin) / float64(len(mhz)+1)
	for i := range len(mhz) + 1 {
		b.Slots = append(b.Slots, v.usAt(v.across(margin+float64(float64(i+1)*slot))))
	}
	b.Begin, b.Half = v.usAt(v.across(margin)), v.usAt(v.across(margin+slot/2))
	b.Settle, b.End = b.Half, v.usAt(v.across(1-margin))
	return b
}

// line returns the chosen set with the levels that the options change.
func (p *Multiburst) line(v View) (b burstLine, err error) {
	switch set := strings.ToLower(p.Set); {
	case set == "combination" && v.lines625():
		b = v.j63(0.5, 1, 2, 4, 4.8, 5.8)
	case set == "combination":
		b = v.j63(0.5, 1, 2, 3, 3.58, 4.2)
	case set == "oirt" && v.lines625():
		b = v.j63(0.5, 1.5, 2.8, 4, 4.8, 5.8)
	case set == "oirt":
		return b, fmt.Errorf("set: oirt is a signal of 625 lines; use combination, fcc or a list of MHz on raster %s", v.Shown.Name)
	case set == "fcc": // memory
		b = v.spread([]float64{0.5, 1.25, 2, 3, 3.58, 4.1})
		b.Level, b.PP, b.ire = v.ire(40), 60*v.perIRE(), true
		b.Low = b.Level
	default:
		mhz, err := parseBursts(p.Set)
		if err != nil {
			return b, fmt.Errorf("set: %w", err)
		}
		b = v.spread(mhz)
	}
	single := b.Low == b.Level // the flag has one level only
	for _, o := range []struct {
		name, text string
		level      *float64
	}{{"flag", p.Flag, &b.Flag}, {"pedestal", p.Pedestal, &b.Level}, {"amplitude", p.Amplitude, &b.PP}} {
		x, own, err := setOrPercent(o.text)
		if err != nil {
			return b, fmt.Errorf("%s: %w", o.name, err)
		}
		if own {
			*o.level = x
		}
	}
	if single {
		b.Low = b.Level
	}
	option := "amplitude"
	if strings.EqualFold(p.Amplitude, "set") {
		option = "pedestal"
	}
	return b, swing(option, b.Level, b.PP)
}

const levelOfSet = "set (as the chosen set has it), or 0 to 100 per cent of white"

// setOrPercent reads a level that may be left to the set.
func setOrPercent(s string) (level float64, own bool, err error) {
	if strings.EqualFold(s, "set") {
		return 0, false, nil
	}
	x, e := strconv.ParseFloat(s, 64)
	if e != nil || !(x >= 0 && x <= 100) {
		return 0, false, fmt.Errorf("%q is not %s", s, levelOfSet)
	}
	return x / 100, true, nil
}

// wholeCycles is how many cycles of a packet go into slot i.
func (b burstLine) wholeCycles(i int) int {
	return int(math.Floor((b.Slots[i+1]-b.Slots[i]-packetGap)*b.MHz[i] + 1e-6))
}

// Scene implements Pattern.
func (p *Multiburst) Scene(v View) (*Scene, error) {
	b, err := p.line(v)
	if err != nil {
		return nil, err
	}
	top, bottom := v.down(0), v.down(1)
	gray := func(level float64) colorimetry.Signal { return colorimetry.Gray(level) }
	x := v.placeOf
	list := []bar{{Until: x(b.Begin), Want: black}, {Name: "flag", Until: x(b.Half), Want: gray(b.Flag)}}
	if b.Half < b.Settle {
		list = append(list, bar{Name: "lower flag", Until: x(b.Settle), Want: gray(b.Low)})
	}
	end := v.across(1)
	list = append(list, bar{Until: x(b.End), Want: gray(b.Level)}, bar{Until: max(end, x(b.End)), Want: black})
	band, patches := v.bars(min(v.across(0), x(b.Begin)), top, bottom, list...)
	patches = append(patches, area("pedestal", x(b.Settle), top, x(b.Slots[0])-v.Edge[0]/2, bottom, gray(b.Level), ""))

	var packets []packet
	var places []timing.Extent
	for i, mhz := range b.MHz {
		n := b.wholeCycles(i)
		if n < 1 {
			room := b.Slots[i+1] - b.Slots[i] - packetGap
			return nil, fmt.Errorf("set: a packet has room for %.2f us, less than a cycle of %v MHz; use %.2f MHz or more, or fewer frequencies", room, mhz, math.Ceil(100/room)/100)
		}
		k := v.packet(x(b.Slots[i]), mhz, n, b.PP/2)
		q := k.patch(mhzName(mhz), v, top, bottom, b.Level, mhz)
		if q.Absent == "" {
			packets = append(packets, k)
			places = append(places, timing.Extent{X0: k.X0, X1: k.X1})
		}
		patches = append(patches, q)
	}
	s := still(overlay(endsAt([]Band{band}), math.Inf(-1), endless, func(dst []float64, x timing.Comb) {
		for _, k := range packets {
			k.add(dst, x)
		}
	}), patches...)
	if b.ire && !v.lines625() && p.ofSet() {
		s.Notes = v.ireNotes("Pedestal and packets")
	}
	s.Notes = append(s.Notes, v.outside("packet", places)...)
	return s, nil
}

// ofSet reports whether any level is left to the set.
func (p *Multiburst) ofSet() bool {
	return strings.EqualFold(p.Pedestal, "set") || strings.EqualFold(p.Amplitude, "set")
}

func setLevel(name string, p *string, help string) *Option {
	return spelled(name, p, levelOfSet, help, func(s string) error { _, _, err := setOrPercent(s); return err }, "set")
}

var multiburstEntries = []Entry{{
	Name: "multiburst", Group: GroupDetail,
	Use:     "frequency response of player, cable and set: packets of the same height at every frequency, as high as the flag or in a known proportion to it",
	Source:  "combination, oirt: frequencies, starts, levels of ITU-T J.63 (1990) Annex II (525) and Annex I (625), without the chroma part; most whole cycles with gaps of 0.4 us or more; fcc: memory; lists: own design",
	Example: "backporch render multiburst --raster 480i -o multiburst.y4m",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &Multiburst{Set: "combination", Flag: "set", Pedestal: "set", Amplitude: "set"}
		return p, []*Option{
			spelled("set", &p.Set, burstRange, "frequencies, and where they stand on the line; lists are spread over the picture", checkBursts, burstSets...),
			setLevel("flag", &p.Flag, "level of the flag before the packets"),
			setLevel("pedestal", &p.Pedestal, "level that the packets stand on"),
			setLevel("amplitude", &p.Amplitude, "height of the packets from trough to crest"),
		}
	},
}}
