package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sample is a table with every type of cell.
func sample() *Table {
	t := &Table{
		Name:  "readings",
		Title: "Bench A",
		Columns: []Column{
			{Name: "Patch"},
			{Name: "Luma", Unit: "IRE", Decimals: 2},
			{Name: "Code"},
			{Name: "Clock", Unit: "MHz"},
			{Name: "Seen"},
			{Name: "Use"},
		},
		Notes: []string{"Levels after the encoder."},
	}
	t.Add("white", 100.0, 235, Rational("27/2"), true, "beam current & focus")
	t.Add("lower strip, -4 %", -0.004, uint8(7), nil, false, []string{"black level", "not on a <PNG>"})
	t.Add("burst", math.NaN(), nil, Rational("315/88"), nil, "")
	return t
}

func write(t *testing.T, d Document, f Format, width int) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, d.Write(&b, f, width))
	return b.String()
}

func TestTableText(t *testing.T) {
	want := `
Bench A
Patch                Luma  Code  Clock   Seen  Use
                      IRE        MHz
-----------------  ------  ----  ------  ----  ---------------------------
white              100.00   235  27/2    yes   beam current & focus
lower strip, -4 %    0.00     7  -       no    black level, not on a <PNG>
burst                   -     -  315/88  -

Levels after the encoder.
`
	assert.Equal(t, want[1:], write(t, sample(), Text, 0))
}

func TestTableCSV(t *testing.T) {
	got := write(t, sample(), CSV, 20)
	rows, err := csv.NewReader(strings.NewReader(got)).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, [][]string{
		{"Patch", "Luma (IRE)", "Code", "Clock (MHz)", "Seen", "Use"},
		{"white", "100.00", "235", "27/2", "true", "beam current & focus"},
		{"lower strip, -4 %", "0.00", "7", "", "false", "black level, not on a <PNG>"},
		{"burst", "", "", "315/88", "", ""},
	}, rows)
	assert.NotContains(t, got, "\r")
}

func TestTableJSON(t *testing.T) {
	got := write(t, sample(), JSON, 20)
	assert.Equal(t, `{"schema":"backporch/readings/1",
  "rows":[
    {"patch":"white","luma_ire":100.00,"code":235,"clock_mhz":"27/2","seen":true,"use":"beam current & focus"},
    {"patch":"lower strip, -4 %","luma_ire":0.00,"code":7,"clock_mhz":null,"seen":false,"use":["black level","not on a <PNG>"]},
    {"patch":"burst","luma_ire":null,"code":null,"clock_mhz":"315/88","seen":null,"use":""}
  ],
  "notes":["Levels after the encoder."]
}
`, got)
	var v struct {
		Schema string
		Rows   []map[string]any
	}
	require.NoError(t, json.Unmarshal([]byte(got), &v))
	assert.Len(t, v.Rows, 3)
}

func TestTableEmpty(t *testing.T) {
	e := &Table{Name: "losses", Columns: []Column{{Name: "Patch"}}}
	assert.Equal(t, "Patch\n-----\n(none)\n", write(t, e, Text, 0))
	assert.Equal(t, "Patch\n", write(t, e, CSV, 0))
	assert.Equal(t, "{\"schema\":\"backporch/losses/1\",\n  \"rows\":[]\n}\n", write(t, e, JSON, 0))
	assert.Zero(t, e.Len())
}

func TestTableAlign(t *testing.T) {
	a := &Table{Name: "a", Columns: []Column{
		{Name: "number"}, {Name: "mixed"}, {Name: "left", Align: Left}, {Name: "right", Align: Right}, {Name: "none"}}}
	a.Add(1, 2, 3, "d", nil)
	a.Add(-10, "x", 30, "dd", nil)
	assert.Equal(t, `number  mixed  left  right  none
------  -----  ----  -----  ----
     1  2      3         d  -
   -10  x      30       dd  -
`, write(t, a, Text, 0))
}

func TestDigits(t *testing.T) {
	for _, tt := range []struct {
		f        float64
		decimals int
		want     string
	}{
		{0, 2, "0.00"},
		{math.Copysign(0, -1), 2, "0.00"},
		{-0.004, 2, "0.00"},
		{-0.006, 2, "-0.01"},
		{-0.4, 0, "0"},
		{-0.6, 0, "-1"},
		{0.125, 2, "0.12"}, // a tie in binary too: to even
		{0.375, 2, "0.38"},
		{59.94005994, 3, "59.940"},
		{-40, 1, "-40.0"},
		{4433618.75, Shortest, "4433618.75"},
		{0.1, Shortest, "0.1"},
		{math.Copysign(0, -1), Shortest, "0"},
		{1e21, 0, "1000000000000000000000"}, // never an exponent
		{-7, -5, "-7"},
	} {
		assert.Equal(t, tt.want, digits(tt.f, tt.decimals), "%v to %d decimals", tt.f, tt.decimals)
	}
}

func TestValues(t *testing.T) {
	for _, tt := range []struct {
		v               any
		text, csv, json string
	}{
		{nil, "-", "", "null"},
		{math.Inf(1), "-", "", "null"},
		{math.Inf(-1), "-", "", "null"},
		{math.NaN(), "-", "", "null"},
		{float32(0.5), "0.5", "0.5", "0.5"},
		{int8(-1), "-1", "-1", "-1"},
		{int16(-1), "-1", "-1", "-1"},
		{int32(-1), "-1", "-1", "-1"},
		{int64(math.MinInt64), "-9223372036854775808", "-9223372036854775808", "-9223372036854775808"},
		{uint(1), "1", "1", "1"},
		{uint16(1), "1", "1", "1"},
		{uint32(1), "1", "1", "1"},
		{uint64(math.MaxUint64), "18446744073709551615", "18446744073709551615", "18446744073709551615"},
		{[]string{}, "", "", "[]"},
		{"tab\there", "tab here", "tab\there", `"tab\there"`},
		{"\x1b[31mred", "\ufffd[31mred", "\x1b[31mred", `"\u001b[31mred"`},
		{"a\u202eb", "a\ufffdb", "a\u202eb", "\"a\u202eb\""},
		{"bad\xff", "bad\ufffd", "bad\xff", `"bad\ufffd"`},
	} {
		n, ok := normal(tt.v)
		require.True(t, ok, "%T", tt.v)
		assert.Equal(t, tt.text, textOf(n, 1), "text of %#v", tt.v)
		assert.Equal(t, tt.csv, csvOf(n, 1), "CSV of %#v", tt.v)
		assert.Equal(t, tt.json, string(appendJSON(nil, n, 1)), "JSON of %#v", tt.v)
	}
	_, ok := normal(struct{}{})
	assert.False(t, ok)
}

func TestKeys(t *testing.T) {
	for _, tt := range []struct{ name, unit, want string }{
		{"Luma", "IRE", "luma_ire"},
		{"Luma", "mV", "luma_mv"},
		{"Time after 0H", "µs", "time_after_0h_us"}, // U+00B5
		{"Time", "μs", "time_us"},                   // U+03BC
		{"Phase", "°", "phase_deg"},
		{"Level", "%", "level_percent"},
		{"Light", "cd/m²", "light_cd_m2"},
		{"R'", "", "r"},
		{"Size in px", "px", "size_in_px"},
		{"MHz", "MHz", "mhz"},
		{"-I/+Q", "", "i_q"},
	} {
		assert.Equal(t, tt.want, keyOf("", tt.name, tt.unit), "%s in %s", tt.name, tt.unit)
		assert.NoError(t, checkKey("", tt.name, tt.unit, map[string]bool{}))
	}
}

func TestCheck(t *testing.T) {
	for _, tt := range []struct {
		name string
		d    Document
		want string
	}{
		{"no columns", &Table{Name: "x"}, `table: "x" has no name or no columns`},
		{"no name", &Table{Columns: []Column{{Name: "a"}}}, `table: "" has no name or no columns`},
		{"unit missing in key", &Table{Name: "x", Columns: []Column{{Name: "Luma", Unit: "IRE", Key: "luma"}}},
			`table: the key "luma" of "Luma" does not end in its unit, _ire`},
		{"bad key", &Table{Name: "x", Columns: []Column{{Name: "Luma", Key: "Luma level"}}},
			`table: the key "Luma level" of "Luma" is not lower-case words joined by underscores`},
		{"no key", &Table{Name: "x", Columns: []Column{{Name: "–"}}},
			`table: the key "" of "–" is not lower-case words joined by underscores`},
		{"twice", &Table{Name: "x", Columns: []Column{{Name: "Code"}, {Name: "code"}}}, `table: the key "code" is used twice`},
		{"record without a name", &Record{Title: "T"}, `table: the record "T" has no name`},
		{"reserved", &Record{Name: "r", Fields: []Field{{Name: "Schema"}}}, `table: the key "schema" is used twice`},
		{"field and table", &Record{Name: "r", Fields: []Field{{Name: "Rows"}}, Tables: []*Table{{Name: "rows", Columns: []Column{{Name: "a"}}}}},
			`table: the key "rows" is used twice`},
		{"field and notes", &Record{Name: "r", Fields: []Field{{Name: "Notes"}}, Notes: []string{"n"}}, `table: the key "notes" is used twice`},
		{"type", &Record{Name: "r", Fields: []Field{{Name: "F", Value: 1i}}},
			`table: the field "F" has a value of type complex128, which no form can show`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for f := range numFormats {
				var b bytes.Buffer
				assert.EqualError(t, tt.d.Write(&b, f, 0), tt.want)
				assert.Empty(t, b.String())
			}
		})
	}
}

func TestAddPanics(t *testing.T) {
	x := &Table{Name: "x", Columns: []Column{{Name: "a"}, {Name: "b"}}}
	assert.PanicsWithValue(t, `table: 1 cells for the 2 columns of "x"`, func() { x.Add(1) })
	assert.PanicsWithValue(t, "table: b has a value of type complex128, which no form can show", func() { x.Add(1, 1i) })
	assert.Zero(t, x.Len())
}

func TestFormat(t *testing.T) {
	for _, name := range Formats() {
		f, err := ParseFormat(name)
		require.NoError(t, err)
		assert.Equal(t, name, f.String())
	}
	_, err := ParseFormat("xml")
	assert.EqualError(t, err, `there is no table format "xml"; use one of text, csv, json`)
	assert.Equal(t, "Format(9)", Format(9).String())
	assert.EqualError(t, sample().Write(io.Discard, Format(9), 0), "table: there is no form Format(9)")
	assert.EqualError(t, (&Record{Name: "r"}).Write(io.Discard, Format(9), 0), "table: there is no form Format(9)")
}

// broken fails every write.
type broken struct{ err error }

func (b broken) Write([]byte) (int, error) { return 0, b.err }

func TestWriteFails(t *testing.T) {
	want := errors.New("no space")
	r := &Record{Name: "r", Fields: []Field{{Name: "A", Value: 1}}}
	for f := range numFormats {
		assert.ErrorIs(t, sample().Write(broken{want}, f, 0), want)
		assert.ErrorIs(t, r.Write(broken{want}, f, 0), want)
	}
}

func BenchmarkTable(b *testing.B) {
	t := sample()
	for range 100 {
		t.rows = append(t.rows, t.rows[0])
	}
	for f := range numFormats {
		b.Run(f.String(), func(b *testing.B) {
			var n bytes.Buffer
			require.NoError(b, t.Write(&n, f, 60))
			b.SetBytes(int64(n.Len()))
			b.ReportAllocs()
			for b.Loop() {
				if err := t.Write(io.Discard, f, 60); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
