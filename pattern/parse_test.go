package pattern

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFind(t *testing.T) {
	e, err := Find("Bars-EG1")
	require.NoError(t, err, "case does not matter")
	assert.Equal(t, "bars-eg1", e.Name)

	for name, want := range map[string]string{
		"bars-eg2": "unknown pattern \"bars-eg2\" (did you mean bars-eg1?); `backporch list patterns` names them all",
		"stair":    "unknown pattern \"stair\" (did you mean staircase?); `backporch list patterns` names them all",
		"zzzzzzzz": "unknown pattern \"zzzzzzzz\"; `backporch list patterns` names them all",
		"":         "unknown pattern \"\"; `backporch list patterns` names them all",
	} {
		_, err := Find(name)
		assert.EqualError(t, err, want)
	}
}

func TestParse(t *testing.T) {
	for spec, want := range map[string]Pattern{
		"bars-full":                         &BarsFull{Set: "75/0/75/0", Order: "forward"},
		"  bars-full  order=reverse ":       &BarsFull{Set: "75/0/75/0", Order: "reverse"},
		"bars-full set=100/0/100/25":        &BarsFull{Set: "100/0/100/25", Order: "forward"},
		"BARS-FULL set=75/7.5/75/7.5":       &BarsFull{Set: "75/7.5/75/7.5", Order: "forward"},
		"flat color=gray-50":                &Flat{Color: "gray-50"},
		"flat color=75,0,0":                 &Flat{Color: "75,0,0"},
		"bars-rp219 row3=BLACK row2=plus-i": &BarsRP219{Row2: "plus-i", Row3: "black"},
		"pluge variant=bt814":               &Pluge{Variant: "bt814"},
		"ramp range=-4..10":                 &Gradient{Direction: "horizontal", Range: "-4..10"},
		"staircase risers=5 direction=both": &Staircase{Risers: "5", Direction: "both"},
		"window size=40x30 surround=10":     &Window{Size: "40x30", Level: 100, Surround: 10},
		"window level=1e1":                  &Window{Size: "13", Level: 10},
		"near-black":                        &NearBlack{},
	} {
		got, err := Parse(spec)
		require.NoError(t, err, spec)
		assert.Equal(t, want, got, spec)
	}
}

func TestParseErrors(t *testing.T) {
	for spec, want := range map[string]string{
		"":                          "no pattern named; `backporch list patterns` names them all",
		"   ":                       "no pattern named; `backporch list patterns` names them all",
		"barz-full":                 "unknown pattern \"barz-full\" (did you mean bars-full?); `backporch list patterns` names them all",
		"bars-full sets=1":          `pattern bars-full has no option "sets" (did you mean set?); it takes: set, order`,
		"bars-full colour=1":        `pattern bars-full has no option "colour"; it takes: set, order`,
		"bars-full order":           "pattern bars-full: option order needs a value, as in order=forward",
		"bars-full order=backward":  `pattern bars-full: order: "backward" is none of forward, reverse`,
		"bars-full set=80/0/80/0":   `pattern bars-full: set: unknown bar set "80/0/80/0"; use 100/0/100/0, 100/0/75/0, 75/0/75/0, 100/0/100/25, or one of them with 7.5 for 0 as in 75/7.5/75/7.5`,
		"bars-full set=75/7.5/75/0": `pattern bars-full: set: set "75/7.5/75/0": write 7.5 for both lows or for neither`,
		"flat color=mauve":          `pattern flat: color: unknown color "mauve"; use white, black, red, green, blue, cyan, magenta, yellow, gray-N (N per cent), R,G,B (per cent, 0 to 100) or #rrggbb`,
		"pluge variant=eg2":         `pattern pluge: variant: "eg2" is none of eg1, bt814, analog`,
		"bars-rp219 row2=white":     `pattern bars-rp219: row2: "white" is none of 75-white, 100-white, plus-i, minus-i`,
		"ramp range=half":           `pattern ramp: range: "half" is not full (0 to 100 %), near-black (0 to 20 %), or FROM..TO in per cent, -6 to 108, as in 20..60`,
		"ramp range=0..200":         `pattern ramp: range: "0..200": "200" is not within -6 to 108 %; use full (0 to 100 %), near-black (0 to 20 %), or FROM..TO in per cent, -6 to 108, as in 20..60`,
		"ramp range=20..20":         `pattern ramp: range: "20..20": both ends are 20 %; use full (0 to 100 %), near-black (0 to 20 %), or FROM..TO in per cent, -6 to 108, as in 20..60`,
		"staircase risers=7":        `pattern staircase: risers: "7" is none of 5, 10`,
		"window size=90":            `pattern window: size: "90" is not 1 to 80, per cent of the area, or WxH, per cent of width and height, each 10 to 90, as in 40x30`,
		"window size=40x5":          `pattern window: size: "40x5" is not 1 to 80, per cent of the area, or WxH, per cent of width and height, each 10 to 90, as in 40x30`,
		"window level=120":          `pattern window: level: "120" is not within -6 to 108 per cent`,
		"window level=NaN":          `pattern window: level: "NaN" is not within -6 to 108 per cent`,
		"window surround=x":         `pattern window: surround: "x" is not within -6 to 108 per cent`,
		"near-black top=5":          `pattern near-black has no option "top"; it takes none`,
	} {
		_, err := Parse(spec)
		assert.EqualError(t, err, want, spec)
	}
}

// TestSceneErrors: a struct that was filled by hand is checked as well.
func TestSceneErrors(t *testing.T) {
	v := anyView(t)
	for _, tt := range []struct {
		p    Pattern
		want string
	}{
		{&BarsFull{Set: "1/2"}, `unknown bar set "1/2"; use 100/0/100/0, 100/0/75/0, 75/0/75/0, 100/0/100/25, or one of them with 7.5 for 0 as in 75/7.5/75/7.5`},
		{&BarsFull{Set: "75/0/75/0", Order: "x"}, `order: "x" is none of forward, reverse`},
		{&BarsSplitRed{Set: "1/2"}, `unknown bar set "1/2"; use 100/0/100/0, 100/0/75/0, 75/0/75/0, 100/0/100/25, or one of them with 7.5 for 0 as in 75/7.5/75/7.5`},
		{&BarsRP219{Row2: "x", Row3: "black"}, `row2: "x" is none of 75-white, 100-white, plus-i, minus-i`},
		{&BarsRP219{Row2: "plus-i", Row3: "x"}, `row3: "x" is none of black, plus-q`},
		{&Flat{Color: "x"}, `unknown color "x"; use white, black, red, green, blue, cyan, magenta, yellow, gray-N (N per cent), R,G,B (per cent, 0 to 100) or #rrggbb`},
		{&Pluge{}, `variant: "" is none of eg1, bt814, analog`},
		{&Gradient{Direction: "x", Range: "full"}, `direction: "x" is none of horizontal, vertical`},
		{&Gradient{Direction: "vertical", Range: "1"}, `range: "1" is not full (0 to 100 %), near-black (0 to 20 %), or FROM..TO in per cent, -6 to 108, as in 20..60`},
		{&Staircase{Risers: "5", Direction: "x"}, `direction: "x" is none of up, down, both`},
		{&Staircase{Risers: "x", Direction: "up"}, `risers: "x" is none of 5, 10`},
		{&Window{Size: "x"}, `size: "x" is not 1 to 80, per cent of the area, or WxH, per cent of width and height, each 10 to 90, as in 40x30`},
		{&Window{Size: "13", Level: 200}, `level: 200 is not within -6 to 108 %`},
		{&Window{Size: "13", Surround: -20}, `surround: -20 is not within -6 to 108 %`},
	} {
		_, err := tt.p.Scene(v)
		assert.EqualError(t, err, tt.want)
	}
}

// TestSpell: what Spell writes Parse reads, and defaults are left out.
func TestSpell(t *testing.T) {
	for _, e := range All() {
		_, options := e.New()
		assert.Equal(t, e.Name, Spell(e, options))
		for _, spec := range variants(t, e)[1:] {
			want, options := e.New()
			name, value, _ := strings.Cut(strings.TrimPrefix(spec, e.Name+" "), "=")
			require.NoError(t, option(options, name).Set(value), spec)
			spelled := Spell(e, options)
			got, err := Parse(spelled)
			require.NoError(t, err, spelled)
			assert.Equal(t, want, got, "%s, spelled %s", spec, spelled)
		}
	}
}

func TestOption(t *testing.T) {
	x, n, b, s := 1.5, 3, false, "one"
	text := "abc"
	number := number("level", &x, -2, 7.5, "per cent", "help")
	whole := whole("pitch", &n, 2, 9, "rows", "help")
	toggle := toggle("mark", &b, "help")
	choice := choice("kind", &s, "help", "one", "two")
	spelled := spelled("text", &text, "anything short", "help", func(string) error { return nil })

	assert.Equal(t, []string{"-2 to 7.5 per cent", "2 to 9 rows", "true or false", "one, two", "anything short"},
		[]string{number.Range, whole.Range, toggle.Range, choice.Range, spelled.Range})
	assert.Equal(t, []string{"number", "int", "bool", "string", "string"},
		[]string{number.Type(), whole.Type(), toggle.Type(), choice.Type(), spelled.Type()})
	assert.Equal(t, []bool{false, false, true, false, false},
		[]bool{number.IsBoolFlag(), whole.IsBoolFlag(), toggle.IsBoolFlag(), choice.IsBoolFlag(), spelled.IsBoolFlag()})

	for o, value := range map[*Option]string{number: " 7.5 ", whole: "9", toggle: "true", choice: "TWO", spelled: "x y"} {
		require.NoError(t, o.Set(value), o.Name)
	}
	assert.Equal(t, []any{7.5, 9, true, "two", "xy"}, []any{x, n, b, s, text})
	assert.Equal(t, []string{"7.5", "9", "true", "two", "xy"},
		[]string{number.String(), whole.String(), toggle.String(), choice.String(), spelled.String()})

	for _, tt := range []struct {
		o           *Option
		value, want string
	}{
		{number, "7.6", `level: "7.6" is not within -2 to 7.5 per cent`},
		{number, "NaN", `level: "NaN" is not within -2 to 7.5 per cent`},
		{number, "", `level: "" is not within -2 to 7.5 per cent`},
		{whole, "2.5", `pitch: "2.5" is not a whole number within 2 to 9 rows`},
		{whole, "10", `pitch: "10" is not a whole number within 2 to 9 rows`},
		{toggle, "maybe", `mark: "maybe" is neither true nor false`},
		{choice, "three", `kind: "three" is none of one, two`},
	} {
		assert.EqualError(t, tt.o.Set(tt.value), tt.want)
	}
	assert.Equal(t, []any{7.5, 9, true, "two"}, []any{x, n, b, s}, "a refused value changes nothing")
	assert.Empty(t, new(Option).String(), "flag packages ask a zero value")
}

// Spelling a pattern with options and reading it again gives the same pattern,
// also where the text was written with spaces.
func TestSpellRoundTrip(t *testing.T) {
	spaced := map[string]string{"flat color": "75, 0, 0", "ramp range": "20 .. 60", "window size": " 40 x 30 ", "bars-full set": "75 / 7.5 / 75 / 7.5"}
	for _, e := range All() {
		p, options := e.New()
		for _, o := range options {
			value := o.String()
			if n := len(o.Choices); n > 0 {
				value = o.Choices[n-1]
			}
			if x, ok := spaced[e.Name+" "+o.Name]; ok {
				value = x
			}
			require.NoError(t, o.Set(value), "%s %s", e.Name, o.Name)
		}
		spec := Spell(e, options)
		again, err := Parse(spec)
		require.NoError(t, err, spec)
		assert.Equal(t, p, again, spec)
	}
}

// FuzzParse: whatever is written, Parse refuses it or gives a pattern that
// lays itself out in samples that have codes, or says why not; and never
// panics.
func FuzzParse(f *testing.F) {
	for _, e := range All() {
		f.Add(e.Name, uint8(0), uint8(0), false)
		_, options := e.New()
		for _, o := range options {
			f.Add(e.Name+" "+o.Name+"="+o.String(), uint8(6), uint8(2), true)
		}
	}
	f.Add("bars-full set=75/7.5/75/7.5 order", uint8(4), uint8(1), false)
	f.Add("window size=NaNx10 level=-0", uint8(3), uint8(0), true)
	f.Fuzz(func(t *testing.T, spec string, raster, edges uint8, wide bool) {
		p, err := Parse(spec)
		if err != nil {
			return
		}
		r := timing.Rasters()[int(raster)%len(timing.Rasters())]
		v := NewView(r, colorimetry.YCbCr8, frame.S422, Edges(edges%uint8(numEdges)))
		if wide {
			v.Aspect = Aspect16x9
		}
		s, err := p.Scene(v)
		if (s == nil) == (err == nil) {
			t.Errorf("%q: scene %v with error %v", spec, s, err)
		}
		if err == nil {
			sampled, err := Sample(s, r, frame.S422, 0)
			if err != nil {
				t.Fatalf("%q: %v", spec, err)
			}
			checkLegal(func(format string, args ...any) {
				t.Errorf("%q on %s: %s", spec, r.Name, fmt.Sprintf(format, args...))
			}, sampled, v)
		}
		if again, err := Parse(strings.ToUpper(strings.Fields(spec)[0])); err != nil || reflect.TypeOf(again) != reflect.TypeOf(p) {
			t.Errorf("%q: its name in upper case gives %T, %v", spec, again, err)
		}
	})
}
