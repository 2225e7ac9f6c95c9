package table

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCellWidth(t *testing.T) {
	// Unicode Standard Annex #11 (East Asian Width): W and F count two cells,
	// Na and H one; combining marks join the character before (Annex #29).
	for _, tt := range []struct {
		s    string
		want int
	}{
		{"", 0}, {"abc", 3}, {"調整", 4}, {"Ａ", 2}, {"ｱ", 1}, {"e\u0301", 1}, {"µs ±2", 5},
	} {
		assert.Equal(t, tt.want, cellWidth(tt.s), "%q", tt.s)
	}
}

func TestWrap(t *testing.T) {
	for _, tt := range []struct {
		s     string
		width int
		want  []string
	}{
		{"", 5, []string{""}},
		{"one two", 0, []string{"one two"}},
		{"one two", 7, []string{"one two"}},
		{"one two", 6, []string{"one", "two"}},
		{"one  two three", 8, []string{"one two", "three"}},
		{"abcdefgh", 3, []string{"abc", "def", "gh"}},
		{"x abcdefgh y", 3, []string{"x", "abc", "def", "gh", "y"}},
		{"調整済み", 5, []string{"調整", "済み"}}, // a wide character is never halved
		{"調", 1, []string{"調"}},           // and is not lost where none fits
		{"e\u0301e\u0301", 1, []string{"e\u0301", "e\u0301"}},
		{"a\nb c", 10, []string{"a", "b c"}},
		{"   ", 2, []string{""}},
	} {
		assert.Equal(t, tt.want, wrap(tt.s, tt.width), "%q in %d", tt.s, tt.width)
	}
}

func TestTableWraps(t *testing.T) {
	x := &Table{Name: "x", Columns: []Column{{Name: "Pattern"}, {Name: "Rows"}, {Name: "Use"}}}
	x.Add("crosshatch", 480, "convergence and geometry of the whole picture")
	x.Add("flat", 480, "purity")
	assert.Equal(t, `Pattern     Rows  Use
----------  ----  --------------------
crosshatch   480  convergence and
                  geometry of the
                  whole picture
flat         480  purity
`, write(t, x, Text, 38))
	// Too narrow for the last column alone: the first gives way too.
	assert.Equal(t, `Pattern   Rows  Use
--------  ----  --------
crosshat   480  converge
ch              nce and
                geometry
                of the
                whole
                picture
flat       480  purity
`, write(t, x, Text, 24))
}

func TestIsCode(t *testing.T) {
	for s, want := range map[string]bool{
		"940 512 512 to 64 512 512": true, "16 128 128 and 235 128 128": true, "525, 625": true, "-4.3": true,
		"720": true, "1 - 2": true, "± 2 %": true,
		"": false, "-": false, "to": false, "to 5": false, "5 to": false, "5 to - 6": false, "5 to to 6": false,
		"5 or 6": false, "5 lines": false, "27/2 MHz": false, "1\n2": false, "720x480": false,
	} {
		assert.Equal(t, want, isCode(s), "%q", s)
	}
}

// Words give way, in whichever column they are, and codes stay whole.
func TestTableKeepsCodes(t *testing.T) {
	x := &Table{Name: "x", Columns: []Column{{Name: "Patch"}, {Name: "Kind"}, {Name: "Y CB CR", Unit: "8 bit", Key: "c_8_bit"},
		{Name: "Y CB CR", Unit: "10 bit", Key: "c_10_bit"}, {Name: "Line"}}}
	x.Add("upper ramp from white down to black over the whole width", "ramp", "235 128 128 to 16 128 128", "940 512 512 to 64 512 512", 405)
	x.Add("black", "level", "16 128 128", "64 512 512", 405)
	got := write(t, x, Text, 100)
	// 33 for the first column: 100 less 5, 25, 25 and 4 for the others and four
	// gaps of two.
	assert.Equal(t, `Patch                              Kind   Y CB CR                    Y CB CR                    Line
                                          8 bit                      10 bit
---------------------------------  -----  -------------------------  -------------------------  ----
upper ramp from white down to      ramp   235 128 128 to 16 128 128  940 512 512 to 64 512 512   405
black over the whole width
black                              level  16 128 128                 64 512 512                  405
`, got)
	for width := 1; width < 100; width++ {
		got := write(t, x, Text, width)
		require.Contains(t, got, "235 128 128 to 16 128 128  940 512 512 to 64 512 512", "width %d", width)
	}
	// The last column first, while that is enough; a code among its words stays.
	y := &Table{Name: "y", Columns: []Column{{Name: "Patch"}, {Name: "Use"}}}
	y.Add("a name that is long", "words that may be wrapped")
	y.Add("black", "16 128 128 to 7")
	assert.Equal(t, `Patch                Use
-------------------  ----------------
a name that is long  words that may
                     be wrapped
black                16 128 128 to 7
`, write(t, y, Text, 37))
	assert.Equal(t, `Patch      Use
---------  ---------------
a name     words that may
that is    be wrapped
long
black      16 128 128 to 7
`, write(t, y, Text, 26))
	assert.Contains(t, write(t, y, Text, 5), "16 128 128 to 7")
}

// Whatever the width, no line is wider unless the columns cannot shrink to it,
// and no letter is lost.
func TestTableNeverWider(t *testing.T) {
	x := sample()
	x.Add("a patch with a long name", 1.5, 12, nil, nil, strings.Repeat("調整 word ", 8))
	letters := func(s string) map[rune]int {
		n := map[rune]int{}
		for _, r := range s {
			if r != ' ' && r != '\n' && r != '-' {
				n[r]++
			}
		}
		return n
	}
	all := write(t, x, Text, 0)
	// Two columns of text at least 8 wide, with 6 for luma, 4 for the code, 6
	// for the clock, 4 for seen, and five gaps of two.
	const least = 8 + 6 + 4 + 6 + 4 + 8 + 10
	for width := 1; width <= 140; width++ {
		got := write(t, x, Text, width)
		require.Equal(t, letters(all), letters(got), "width %d", width)
		for _, line := range strings.Split(got, "\n") {
			require.LessOrEqual(t, cellWidth(line), max(width, least), "width %d: %q", width, line)
			require.Equal(t, strings.TrimRight(line, " "), line, "no trailing spaces")
		}
	}
}

// Columns start at the same cell in every row, wide characters or not.
func TestColumnsLineUp(t *testing.T) {
	x := &Table{Name: "x", Columns: []Column{{Name: "Name"}, {Name: "N", Unit: "IRE", Decimals: 1}}}
	for i, name := range []string{"white", "白", "e\u0301cru", "Ｗide"} {
		x.Add(name, float64(i)-1.5)
	}
	for _, line := range strings.Split(strings.TrimSpace(write(t, x, Text, 0)), "\n")[3:] {
		assert.Equal(t, len("white")+2+4, cellWidth(line), "%q", line)
		assert.Equal(t, ".5", line[len(line)-2:])
	}
}

func TestRecord(t *testing.T) {
	patches := &Table{Name: "patches", Title: "Patches", Columns: []Column{{Name: "Name"}, {Name: "Y", Unit: "IRE", Decimals: 1}}}
	patches.Add("white", 100.0)
	r := &Record{
		Name: "raster", Title: "240p",
		Fields: []Field{
			{Name: "System", Value: "525"},
			{Name: "Line rate", Unit: "Hz", Decimals: 2, Value: 15734.265734},
			{Name: "Clock", Unit: "MHz", Value: Rational("27/2")},
			{Name: "Interlaced", Value: false},
			{Name: "Burst", Unit: "mV", Value: nil},
		},
		Tables: []*Table{patches},
		Notes:  []string{"Not in any standard."},
	}
	assert.Equal(t, `240p
System      525
Line rate   15734.27 Hz
Clock       27/2 MHz
Interlaced  no
Burst       -

Patches
Name       Y
         IRE
-----  -----
white  100.0

Not in any standard.
`, write(t, r, Text, 0))
	assert.Equal(t, `{"schema":"backporch/raster/1",
  "system":"525",
  "line_rate_hz":15734.27,
  "clock_mhz":"27/2",
  "interlaced":false,
  "burst_mv":null,
  "patches":[
    {"name":"white","y_ire":100.0}
  ],
  "notes":["Not in any standard."]
}
`, write(t, r, JSON, 0))
}

func TestRecordCSV(t *testing.T) {
	first := &Table{Name: "patches", Columns: []Column{{Name: "Name"}, {Name: "Y", Unit: "IRE", Decimals: 1}}, Notes: []string{"n"}}
	first.Add("white, wide", 100.0)
	second := &Table{Name: "options", Columns: []Column{{Name: "Option"}}}
	second.Add("set")
	r := &Record{
		Name: "raster",
		Fields: []Field{
			{Name: "System", Value: "525"},
			{Name: "Line rate", Unit: "Hz", Decimals: 2, Value: 15734.265734},
			{Name: "Clock", Unit: "MHz", Value: Rational("27/2")},
			{Name: "Interlaced", Value: false},
			{Name: "Burst", Unit: "mV", Value: nil},
		},
		Tables: []*Table{first, second},
		Notes:  []string{"Not in any standard."},
	}
	assert.Equal(t, "Name,Y (IRE)\n\"white, wide\",100.0\n", write(t, r, CSV, 20))
	r.Tables = r.Tables[1:]
	assert.Equal(t, "Option\nset\n", write(t, r, CSV, 20))

	r.Tables = nil
	assert.Equal(t, `name,value,unit
System,525,
Line rate,15734.27,Hz
Clock,27/2,MHz
Interlaced,false,
Burst,,mV
`, write(t, r, CSV, 0))
	r.Fields = []Field{r.Fields[0], r.Fields[3]}
	assert.Equal(t, "name,value\nSystem,525\nInterlaced,false\n", write(t, r, CSV, 0), "no units, no column of them")
}

func TestRecordWraps(t *testing.T) {
	r := &Record{Name: "r", Fields: []Field{{Name: "Use", Value: "black level of the set by eye"}, {Name: "Source", Value: "x"}}}
	assert.Equal(t, `Use     black level
        of the set
        by eye
Source  x
`, write(t, r, Text, 20))
}

func ExampleTable() {
	t := &Table{Name: "bars", Columns: []Column{
		{Name: "Bar"}, {Name: "Luma", Unit: "IRE", Decimals: 1}, {Name: "Code"}}}
	t.Add("white", 76.9, 180)
	t.Add("yellow", 69.0, 162)
	var b strings.Builder
	if err := t.Write(&b, Text, 80); err != nil {
		fmt.Println(err)
	}
	if err := t.Write(&b, JSON, 0); err != nil {
		fmt.Println(err)
	}
	fmt.Print(b.String())
	// Output:
	// Bar     Luma  Code
	//          IRE
	// ------  ----  ----
	// white   76.9   180
	// yellow  69.0   162
	// {"schema":"backporch/bars/1",
	//   "rows":[
	//     {"bar":"white","luma_ire":76.9,"code":180},
	//     {"bar":"yellow","luma_ire":69.0,"code":162}
	//   ]
	// }
}
