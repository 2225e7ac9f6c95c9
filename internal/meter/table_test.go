package meter

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
)

// near compares two colors of light.
func near(t *testing.T, want, got colorimetry.XYZ, within float64, say ...any) {
	t.Helper()
	assert.InDelta(t, want.X, got.X, within, say...)
	assert.InDelta(t, want.Y, got.Y, within, say...)
	assert.InDelta(t, want.Z, got.Z, within, say...)
}

// TestReadTable: every spelling of a table gives the same two gray steps: D65 at
// 50 % and 19 cd/m2, D65 at 100 % and 80 cd/m2. XYZ and u', v' of D65 are those
// of the standards, .95046 1 1.08906 (calc) and .1978 .4683 (EBU Tech 3320 v3).
func TestReadTable(t *testing.T) {
	tests := []struct {
		name    string
		text    string
		columns map[string]string
		given   string
	}{
		{"plain", "level,x,y,Y\n50,0.3127,0.3290,19\n100,0.3127,0.3290,80\n", nil, "xyY 0.3127 0.3290 80"},
		{"comments, empty lines, not read", "# Bench A\n\nlevel,x,y,Y\n50,0.3127,0.3290,19\n# a remark\n75,,,\n\n100,0.3127,0.3290,80\n", nil, "xyY 0.3127 0.3290 80"},
		{"decimal commas", "Stimulus (%);x;y;Lv [cd/m²]\r\n50;0,3127;0,3290;19\r\n100 %;0,3127;0,3290;80\r\n", nil, "xyY 0,3127 0,3290 80"},
		{"tabs and other columns", "time\tpatch\tIRE\tX\tY\tZ\tdevice\n10:00\ta\t50\t18.0587\t19\t20.6921\tm\n10:01\tb\t100\t76.0368\t80\t87.1248\tm\n", nil, "XYZ 76.0368 80 87.1248"},
		{"blanks", "level  Y  u'  v'\n50   19 0.19783 0.46832\n100  80 0.19783 0.46832\n", nil, "Yu'v' 80 0.19783 0.46832"},
		{"other primes and a mark at the start", "\ufeffLevel_percent,Y_cd_m2,u′,v’\n50,19,0.19783,0.46832\n100,80,0.19783,0.46832\n", nil, "Yu'v' 80 0.19783 0.46832"},
		{"8-bit codes", "code8,CIE x,CIE_y,luminance (nits)\n125.5,.3127,.3290,19\n235,.3127,.3290,80\n", nil, "xyY .3127 .3290 80"},
		{"10-bit codes", "level (10-bit),x,y,Y\n502,.3127,.3290,19\n940,.3127,.3290,80\n", nil, "xyY .3127 .3290 80"},
		{"full range", "rgb8,x,y,Y\n127.5,.3127,.3290,19\n255,.3127,.3290,80\n", nil, "xyY .3127 .3290 80"},
		{"parts", "fraction,x,y,Y\n.5,.3127,.3290,19\n1,.3127,.3290,80\n", nil, "xyY .3127 .3290 80"},
		{"foot-lamberts", "level,x,y,Y (fL)\n50,.3127,.3290,5.545407\n100,.3127,.3290,23.34908\n", nil, "xyY .3127 .3290 23.34908 fL"},
		{"capitals of chromaticity", "LEVEL,X,Y,LV\n50,.3127,.3290,19\n100,.3127,.3290,80\n", nil, "xyY .3127 .3290 80"},
		{"both forms", "level,x,y,X,Y,Z\n50,.31,.33,18.0587,19,20.6921\n100,.31,.33,76.0368,80,87.1248\n", nil, "XYZ 76.0368 80 87.1248"},
		{"the other form, named", "level,x,y,cx,cy,X,Y,Z\n50,.9,.9,.3127,.3290,1,19,1\n100,.9,.9,.3127,.3290,1,80,1\n", map[string]string{"x": "cx", "y": "CY"}, "xyY .3127 .3290 80"},
		{"own heads", "Nr,Drive,a,b,Light\n1,50,.3127,.3290,19\n2,100,.3127,.3290,80\n", map[string]string{"level": "Drive", "x": "a", "y": "b", "Y": "Light"}, "xyY .3127 .3290 80"},
		{"unit behind a blank", "Level %,x,y,Y cd/m2\n50,.3127,.3290,19\n100,.3127,.3290,80\n", nil, "xyY .3127 .3290 80"},
		{"own head of codes", "D,x,y,Y\n125.5,.3127,.3290,19\n235,.3127,.3290,80\n", map[string]string{"code8": "D"}, "xyY .3127 .3290 80"},
		{"steps named by level", "patch,x,y,Y\n50 %,.3127,.3290,19\n100 %,.3127,.3290,80\n", nil, "xyY .3127 .3290 80"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := ReadTable(strings.NewReader(tt.text), tt.columns)
			require.NoError(t, err)
			require.Len(t, got, 2)
			assert.InDelta(t, .5, got[0].Level, 1e-12)
			assert.InDelta(t, 1, got[1].Level, 1e-12)
			near(t, colorimetry.XYZ{X: 19 * .95046, Y: 19, Z: 19 * 1.08906}, got[0].XYZ, 2e-3)
			near(t, colorimetry.XYZ{X: 80 * .95046, Y: 80, Z: 80 * 1.08906}, got[1].XYZ, 6e-3)
			assert.Equal(t, tt.given, got[1].Given)
		})
	}
}

// Fields and zones have names, each spelled in several ways; a field without a
// level is full, and black none.
func TestReadTableNames(t *testing.T) {
	got, err := ReadTable(strings.NewReader("Field,x,y,Y\nR,.63,.34,17\nGreen field,.31,.595,56\nblue,.155,.07,7\nW,.3127,.329,80\nBlack,0,0,0\nUpper left,.31,.33,70\nCentre,.31,.33,80\n"), nil)
	require.NoError(t, err)
	var names []string
	var levels []float64
	for _, s := range got {
		names, levels = append(names, s.Name), append(levels, s.Level)
	}
	assert.Equal(t, []string{"red", "green", "blue", "white", "black", "top-left", "center"}, names)
	assert.Equal(t, []float64{1, 1, 1, 1, 0, 1, 1}, levels)
	assert.Zero(t, got[4].XYZ)
}

func TestReadTableErrors(t *testing.T) {
	const head = "level,x,y,Y\n"
	tests := []struct {
		name, text string
		columns    map[string]string
		want       string
	}{
		{"empty", "# nothing\n\n", nil, "the table is empty; write a head such as level,x,y,Y and one reading a line below it"},
		{"head alone", head, nil, "the table has a head and no readings; write one a line below it"},
		{"none read", head + "50,,,\n", nil, "the table has a head and no readings; write one a line below it"},
		{"no head", "50,.3127,.329,19\n", nil, "line 1 has figures where the names of the columns belong; put a line such as level,x,y,Y above it"},
		{"UTF-16", "l\x00e\x00v\x00", nil, "this is not text in UTF-8; save the table as CSV in UTF-8 (spreadsheets and meters may write UTF-16)"},
		{"too long", head + strings.Repeat("50,.3127,.329,19\n", 70000), nil, "more than 1048576 bytes are no table of readings; give the readings of one set alone"},
		{"no light", "level,x,y\n50,.3,.3\n", nil, `no columns for the light: x, y and Y, or X, Y and Z, or Y, u' and v'; found "level", "x", "y"; name them in the head, or as in --columns Y=Light`},
		{"no level", "time,x,y,Y\n50,.3,.3,1\n", nil, `no columns for what was read: a column of levels, or one of names of fields or zones; found "time", "x", "y", "Y"; name them in the head, or as in --columns level=Stimulus`},
		{"u or u'", "level,Y,u,v\n50,19,.2,.47\n", nil, `column "u" may be u of CIE 1960 or u' of CIE 1976, which differ; if it is u', head it so, or as in --columns "u'=u"`},
		{"unknown unit of light", "level,x,y,Y (lx)\n50,.3,.3,1\n", nil, `column "Y (lx)": light in "lx" is not known; use cd/m2 or fL`},
		{"unknown unit of level", "level (mV),x,y,Y\n50,.3,.3,1\n", nil, `column "level (mV)": levels in "mv" are not known; use percent, ire, fraction, code8, code10, rgb8`},
		{"twice", "level,x,y,Lv,luminance\n50,.3,.3,1,1\n", nil, `columns "Lv" and "luminance" both hold Y; say which one counts, as in --columns Y=Lv`},
		{"no such column", head + "50,.3,.3,1\n", map[string]string{"level": "IRE"}, `there is no column "IRE" for level; the columns are "level", "x", "y", "Y"`},
		{"no such quantity", head + "50,.3,.3,1\n", map[string]string{"lux": "Y"}, `no quantity "lux"; columns can be named for level, name, x, y, Y, X, Z, u', v', percent, ire, fraction, code8, code10, rgb8`},
		{"level named twice", "a,b,x,y,Y\n50,125,.3,.3,1\n", map[string]string{"level": "a", "code8": "b"}, `two columns are named for the level; name one`},
		{"no number", head + "50,.3127,n/a,19\n", nil, `line 2, column "y": "n/a" is not a number; write the figure, or leave all three figures of a step that was not read empty`},
		{"NaN", head + "50,.3127,NaN,19\n", nil, `"NaN" is not a number`},
		{"infinite", head + "50,.3127,.329,Inf\n", nil, `"Inf" is not a number`},
		{"huge", head + "50,.3127,.329,1e999\n", nil, `"1e999" is not a number`},
		{"hexadecimal", head + "50,.3127,.329,0x10\n", nil, `"0x10" is not a number`},
		{"decimal comma between commas", head + "50,\"0,3127\",.329,19\n", nil, `"0,3127" is not a number`},
		{"figure missing", "# x\n\n" + head + "50,.3127,,19\n", nil, `line 4, column "y": the figure is missing`},
		{"row too short", head + "50,.3127,.329\n", nil, `line 2, column "Y": the figure is missing`},
		{"negative light", head + "50,.3127,.329,-1\n", nil, `line 2, columns "x", "y", "Y": Y is -1, and no light has less than 0; check the reading, and the meter's zero`},
		{"negative X", "level,X,Y,Z\n50,-.1,1,1\n", nil, `X is -0.1, and no light has less than 0`},
		{"no color", head + "50,.7,.4,19\n", nil, `x 0.7, y 0.4 is no color: their sum is 1 at most and y above 0; are x, y and Y in their order?`},
		{"order", head + "50,19,.3,.3\n", nil, `x 19, y 0.3 is no color`},
		{"no Y", "level,X,Y,Z\n50,1,0,1\n", nil, `X 1, Y 0, Z 1 is no color: next to no Y beside the others; are the columns in their order?`},
		{"no u', v'", "level,Y,u',v'\n50,19,.9,.9\n", nil, `u' 0.9, v' 0.9 is no color`},
		{"too much light", head + "50,.3127,.329,1e6\n", nil, `cd/m2 is more than any tube gives (100000 at most); are the figures in the order x y Y?`},
		{"level too high", head + "200,.3127,.329,80\n", nil, `line 2, column "level": 200 is no level in per cent; use -10 to 120`},
		{"code too high", "code8,x,y,Y\n300,.3127,.329,80\n", nil, `line 2, column "code8": 300 is no level in 8-bit codes of Y' (16 black, 235 white); use -5.9 to 278.8`},
		{"no level of a step", head + ",.3127,.329,80\n", nil, `line 2, column "level": it is not said what was read; write its level or its name`},
		{"level no number", head + "half,.3127,.329,80\n", nil, `line 2, column "level": "half" is not a number; write the level in per cent`},
		{"parts as per cent", head + "0.5,.3127,.329,19\n1,.3127,.329,80\n", nil, `column "level": no level is above 1 per cent; if 1 is white, head the column fraction, or as in --columns fraction=level`},
		{"quotes", head + "50,.3127,.329,\"19\n", nil, `a cell with quotes has them at both ends`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := ReadTable(strings.NewReader(tt.text), tt.columns)
			assert.ErrorContains(t, err, tt.want)
			assert.Nil(t, got)
		})
	}
	_, err := ReadTable(broken{}, nil)
	assert.ErrorContains(t, err, "unplugged")
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("unplugged") }

func TestParseTriple(t *testing.T) {
	want := colorimetry.XY{X: .3127, Y: .3290}.At(80)
	for _, tt := range []struct {
		form, text string
	}{
		{"xyY", "0.3127 0.3290 80"}, {"XYY", ".3127,.3290,80"}, {"xyY", "0,3127 0,3290 80"}, {"xyY", " 0,3127; 0,3290;80,0 "},
		{"xyY", "0.3127, 0.3290, 80"}, {"XYZ", "76.03647 80 87.12462"}, {"Yuv", "80 .1978300 .4683200"}, {"Yu’v’", "80\t.19783\t.46832"},
	} {
		f, err := ParseForm(tt.form)
		require.NoError(t, err)
		got, err := ParseTriple(f, tt.text)
		require.NoError(t, err, tt.text)
		near(t, want, got, 2e-3, tt.text)
	}
	for _, tt := range []struct{ form, text, want string }{
		{"xyY", "0.3127 0.3290", `"0.3127 0.3290" is not the three figures of xyY; write x y Y, such as "0.3127 0.3290 80"`},
		{"xyY", "0,3127,0,3290,80", `is not the three figures`},
		{"XYZ", "76 y 87", `Y: "y" is not a number; write X Y Z, such as "76.04 80 87.12"`},
		{"Yuv", "80 .2 -.4", `v' is -0.4, and no light has less than 0`},
		{"xyY", "80 .3127 .3290", `x 80, y 0.3127 is no color`},
	} {
		f, err := ParseForm(tt.form)
		require.NoError(t, err)
		_, err = ParseTriple(f, tt.text)
		assert.ErrorContains(t, err, tt.want, tt.text)
	}
	_, err := ParseForm("RGB")
	assert.EqualError(t, err, `unknown form "RGB" of a reading; use xyY (chromaticity, cd/m2), XYZ (cd/m2) or Yuv (cd/m2, u', v' of CIE 1976)`)
	for _, f := range Forms() {
		c, err := ParseTriple(f, f.example())
		require.NoError(t, err)
		near(t, want, c, .03, "the example of %s", f)
	}
}

func TestParseReading(t *testing.T) {
	s, err := ParseReading(XYY, "20%: 0.300 0.310 4.1")
	require.NoError(t, err)
	assert.Equal(t, Sample{Level: .2, XYZ: colorimetry.XY{X: .3, Y: .31}.At(4.1), Given: "xyY 0.300 0.310 4.1"}, s)
	s, err = ParseReading(XYY, "Black:0 0 0")
	require.NoError(t, err)
	assert.Equal(t, Sample{Name: "black", Given: "xyY 0 0 0"}, s)
	for text, want := range map[string]string{
		"0.3 0.3 4":   `reading "0.3 0.3 4" does not say what was read; write the level in per cent or the name of the field or zone, a colon and xyY, such as "20:0.3127 0.3290 80"`,
		":.3 .3 4":    "does not say what was read",
		"500:.3 .3 4": `reading "500:.3 .3 4": 500 is no level in per cent; use -10 to 120`,
		"20:.3 .3":    `reading "20:.3 .3": ".3 .3" is not the three figures of xyY`,
	} {
		_, err := ParseReading(XYY, text)
		assert.ErrorContains(t, err, want)
	}
}

// FuzzReadTable: a table is refused, or gives readings of light that can be.
func FuzzReadTable(f *testing.F) {
	f.Add("level,x,y,Y\n50,0.3127,0.3290,19\n", "", "")
	f.Add("Stimulus (%);X;Y;Z\n50;18,0;19,0;20,7\n", "level", "Stimulus (%)")
	f.Add("name\tY (fL)\tu'\tv'\nred\t5\t.45\t.52\n", "", "")
	f.Add("code8 x y Lv\n16 0 0 0\n", "Y", "Lv")
	f.Fuzz(func(t *testing.T, text, quantity, head string) {
		var columns map[string]string
		if quantity != "" {
			columns = map[string]string{quantity: head}
		}
		got, err := ReadTable(strings.NewReader(text), columns)
		if err != nil {
			if got != nil || err.Error() == "" {
				t.Fatalf("an error with readings, or without a text: %v", err)
			}
			return
		}
		if len(got) == 0 {
			t.Fatal("neither readings nor an error")
		}
		for _, s := range got {
			for _, v := range []float64{s.XYZ.X, s.XYZ.Y, s.XYZ.Z, s.XYZ.X + s.XYZ.Y + s.XYZ.Z} {
				if !(v >= -1e-9) || math.IsInf(v, 0) {
					t.Fatalf("no light: %+v", s)
				}
			}
			if !(s.Level >= leastLevel-1e-6 && s.Level <= mostLevel+1e-6) || s.Given == "" {
				t.Fatalf("no reading: %+v", s)
			}
			if xy, ok := s.XYZ.XY(); ok && !(xy.Y >= leastY*.99 && xy.X+xy.Y <= 1+1e-9) {
				t.Fatalf("no color: %+v %+v", s, xy)
			}
		}
	})
}
