package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/white"
)

func TestWhiteFlags(t *testing.T) {
	var got *whiteOptions
	cmd := newWhite(&Streams{}, func(_ context.Context, o *whiteOptions) error { got = o; return nil })
	cmd.SetArgs([]string{"--read", "20:0.3 0.31 2", "--read", "80:0.3 0.31 60", "--target", "D93", "--primaries", "ebu", "--keep", "Red", "--gamma", "2.3",
		"--black", "0.31 0.33 0.05", "--knobs", "green-drive=0..100", "--at", "green-drive=3", "--within", "0.002"})
	require.NoError(t, cmd.Execute())
	opt, tube, err := got.options("", "")
	require.NoError(t, err)
	assert.Equal(t, "D93", opt.Target.Name)
	assert.Equal(t, "ebu", opt.Primaries.Name)
	assert.Equal(t, white.Red, opt.Keep)
	assert.Equal(t, 2.3, opt.Gamma)
	assert.InDelta(t, 0.05, opt.Black.Y, 1e-12)
	assert.InDelta(t, 0.0048, opt.WithinDark, 1e-12)
	assert.Equal(t, "primaries ebu", tube)
	// A job's own words count where there is no flag.
	opt, _, err = (&whiteOptions{Target: "D65", Primaries: "p22", Keep: "green", set: map[string]bool{"primaries": true}}).options("D93", "ebu")
	require.NoError(t, err)
	assert.Equal(t, "D93", opt.Target.Name)
	assert.Equal(t, "p22", opt.Primaries.Name)
}

func TestParseKnobs(t *testing.T) {
	list, err := parseKnobs("red-drive=0..255/1, Blue_Gain=-5..5,green-cutoff,r bias=10..20/.5")
	require.NoError(t, err)
	assert.Equal(t, []white.Control{
		{Name: "red-drive", Gun: white.Red, Role: white.Drive, Most: 255, Step: 1},
		{Name: "blue_gain", Gun: white.Blue, Role: white.Drive, Least: -5, Most: 5},
		{Name: "green-cutoff", Gun: white.Green, Role: white.Cutoff},
		{Name: "r bias", Gun: white.Red, Role: white.Cutoff, Least: 10, Most: 20, Step: 0.5},
	}, list)
	again, err := parseKnobs(knobSpec(list))
	require.NoError(t, err)
	assert.Equal(t, list, again, "a file of rounds says the knobs as --knobs does")
	for text, want := range map[string]string{
		"":                              "does not say which gun",
		"red":                           "does not say which gun and what it does",
		"drive":                         "does not say which gun",
		"contrast=0..5":                 "does not say which gun",
		"red-drive=128":                 `"128" is no travel; write LEAST..MOST`,
		"red-drive=1..x":                "is no travel",
		"red-drive=0..Inf":              "is no travel",
		"red-drive=5..5":                "ends before it begins",
		"red-drive=0..5/9":              "a step of 9",
		"red-drive=0..5/0":              "a step of 0",
		"red-drive,red-drive":           "stands there twice",
		"red-drive=0..1,":               "does not say which gun",
		"red-drive=0..1/x":              "is no travel",
		"red-drive=0..255/1,Red-Drive ": "stands there twice",
	} {
		_, err := parseKnobs(text)
		assert.ErrorContains(t, err, want, text)
	}
}

const rounds = `# at Bench A
# knobs: red-drive=0..255/1,blue-cutoff=0..10
round;IRE;Y (cd/m2);x;y;red-drive;blue-cutoff;who
1;20;2,1;0,300;0,310;128;5,5;a
1;80;61;0,305;0,318;128;5,5;a

2;20;2,0;0,301;0,312;130;5;b
2;80;60;0,306;0,319;130;5;b
2;80;62;0,306;0,319;130;5;b
`

func TestReadRounds(t *testing.T) {
	f, err := readRounds("\ufeff" + strings.ReplaceAll(rounds, "\n", "\r\n"))
	require.NoError(t, err)
	assert.Equal(t, []white.Control{{Name: "red-drive", Most: 255, Step: 1}, {Name: "blue-cutoff", Gun: white.Blue, Role: white.Cutoff, Most: 10}}, f.Knobs)
	require.Len(t, f.Rounds, 2)
	assert.Equal(t, []float64{128, 5.5}, f.Rounds[0].Settings)
	require.Len(t, f.Rounds[1].Steps, 2, "two readings of a level are one step")
	assert.InDelta(t, 61, f.Rounds[1].Steps[1].XYZ.Y, 1e-12)
	assert.InDelta(t, 0.8, f.Rounds[1].Steps[1].Level, 1e-12)
	for name, tt := range map[string]struct{ old, new, want string }{
		"empty":          {rounds, "# nothing\n", "the file is empty"},
		"no rounds":      {"round;", "r;", `there is no column "round"`},
		"no knobs":       {"red-drive;blue-cutoff;who", "a;b;c", "there is no column of a knob"},
		"twice":          {"blue-cutoff;who", "red-drive;who", "two columns are headed red-drive"},
		"other knobs":    {"# knobs: red-drive=0..255/1,", "# knobs: ", "# knobs: red-drive has a column in the rounds and is not among blue-cutoff"},
		"no travel":      {"0..255/1", "255", `# knobs: red-drive: "255" is no travel`},
		"no number":      {"1;20;2,1;0,300;0,310;128;", "1;20;2,1;0,300;0,310;;", `line 4, column "red-drive": "" does not say where red-drive stands`},
		"round":          {"1;20;", "x;20;", `line 4, column "round": "x" is no number of a round`},
		"skipped":        {"2;20;", "4;20;", "line 7: round 4 follows round 1"},
		"moved":          {"1;80;61;0,305;0,318;128", "1;80;61;0,305;0,318;129", "line 5: red-drive stands at 129 and in the same round at 128"},
		"light":          {"2;80;60;0,306;", "2;80;60;bright;", "round 2: line 8, column"},
		"columns":        {"IRE;", "what;", "round 1:"},
		"quotes":         {"1;80;61", "1;\"80;61", "line 5: a cell with quotes has them at both ends"},
		"a knob missing": {"blue-cutoff;who", "gap;who", "blue-cutoff has no column in the rounds"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := readRounds(strings.Replace(rounds, tt.old, tt.new, 1))
			require.ErrorContains(t, err, tt.want)
		})
	}
}

func TestManyReadingsHaveNoise(t *testing.T) {
	f, err := readRounds("round,level,X,Y,Z,red-drive\n1,80,99,100,100,5\n1,80,101,100,100,5\n1,80,99,100,100,5\n1,80,101,100,100,5\n1,20,1,1,1,5\n")
	require.NoError(t, err)
	s := f.Rounds[0].Steps
	// X spreads by 1 %, Y and Z not at all: 4 x .01^2 over 3 channels and 3
	// degrees of freedom, and half of it for the mean of four.
	assert.InDelta(t, math.Sqrt(4*0.0001/9)/2, s[0].Noise, 1e-12)
	assert.Zero(t, s[1].Noise)
}

// A bench is a set with knobs, written for this test from the law of a gun, L =
// k max(d V + c, 0)^gamma; its phosphors are those of SMPTE C.
type whiteBench struct{ drive, cutoff [3]float64 }

func (b whiteBench) read(level float64) colorimetry.XYZ {
	// Matrix of SMPTE C at D65 (SMPTE RP 177 derivation, calc).
	m := [3][3]float64{{.39352090, .36525808, .19167695}, {.21237636, .70105986, .08656378}, {.01873909, .11193393, .95838473}}
	var l [3]float64
	for g := range l {
		l[g] = 100 * math.Pow(math.Max(b.drive[g]*level+b.cutoff[g], 0), 2.5)
	}
	return colorimetry.XYZ{X: m[0][0]*l[0] + m[0][1]*l[1] + m[0][2]*l[2], Y: m[1][0]*l[0] + m[1][1]*l[1] + m[1][2]*l[2], Z: m[2][0]*l[0] + m[2][1]*l[1] + m[2][2]*l[2]}
}

func (b whiteBench) typed(level int) string {
	c := b.read(float64(level) / 100)
	xy, _ := c.XY()
	return fmt.Sprintf("%d:%.5f %.5f %.4f", level, xy.X, xy.Y, c.Y)
}

func (b whiteBench) off(level float64) float64 {
	xy, _ := b.read(level).XY()
	w := colorimetry.XY{X: 0.3127, Y: 0.3290}.UV1976()
	return math.Hypot(xy.UV1976().U-w.U, xy.UV1976().V-w.V)
}

func runWhite(t *testing.T, args ...string) (string, string, int) {
	t.Helper()
	var out, err bytes.Buffer
	code := Run(context.Background(), &Streams{Out: &out, Err: &err}, append([]string{"white"}, args...))
	return out.String(), err.String(), code
}

// TestWhiteMovesAreRight makes the moves that are printed, and looks.
func TestWhiteMovesAreRight(t *testing.T) {
	b := whiteBench{drive: [3]float64{0.95, 1, 1.06}, cutoff: [3]float64{-0.01, 0, 0.015}}
	require.Greater(t, b.off(0.2), 0.01)
	out, msg, code := runWhite(t, "--read", b.typed(20), "--read", b.typed(80), "--primaries", "smpte-c", "--gamma", "2.5", "--json")
	require.Zero(t, code, msg)
	var rec struct {
		Caution string
		Moves   []struct {
			Gun    string
			Drive  float64 `json:"drive_percent"`
			Cutoff float64 `json:"cutoff_percent"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &rec))
	assert.Contains(t, rec.Caution, "neck of the tube")
	for g, m := range rec.Moves {
		assert.Equal(t, white.Gun(g).String(), m.Gun)
		// Cutoff is of the signal range at the drive as it was.
		b.cutoff[g] += b.drive[g] * m.Cutoff / 100
		b.drive[g] *= 1 + m.Drive/100
	}
	assert.Less(t, b.off(0.2), 0.0008)
	assert.Less(t, b.off(0.8), 0.0003)
	assert.InDelta(t, 1, b.drive[0], 0.001)
	assert.InDelta(t, 0, b.cutoff[2], 0.0002)
}

// TestWhiteLearnsOnABench plays rounds through the file, as a hand does: knobs
// of unlike gain, one of them turning the wrong way, in steps.
func TestWhiteLearnsOnABench(t *testing.T) {
	knobs := "red-drive=0..255/1,blue-drive=0..255/1,red-cutoff=0..1000/1,blue-cutoff=0..1000/1"
	at := map[string]float64{"red-drive": 128, "blue-drive": 128, "red-cutoff": 500, "blue-cutoff": 500}
	set := func() whiteBench {
		return whiteBench{
			drive:  [3]float64{1.05 + 0.0018*(at["red-drive"]-128), 1, 0.92 + 0.0028*(at["blue-drive"]-128)},
			cutoff: [3]float64{-0.01 + 0.00013*(at["red-cutoff"]-500), 0, 0.012 - 0.0002*(at["blue-cutoff"]-500)},
		}
	}
	file := filepath.Join(t.TempDir(), "rounds.csv")
	start := set().off(0.8)
	require.Greater(t, start, 0.01)
	for round := 1; ; round++ {
		require.LessOrEqual(t, round, 10, "no end: %v", at)
		var where []string
		for name, v := range at {
			where = append(where, fmt.Sprintf("%s=%g", name, v))
		}
		args := []string{"--rounds", file, "--add", "--at", strings.Join(where, ","), "--read", set().typed(20), "--read", set().typed(80), "--primaries", "smpte-c", "--json"}
		if round == 1 {
			args = append(args, "--knobs", knobs)
		}
		out, msg, code := runWhite(t, args...)
		require.Zero(t, code, msg)
		assert.Contains(t, msg, fmt.Sprintf("round %d is in %s", round, file))
		var rec struct {
			Stop  bool
			Knobs []struct {
				Knob string
				To   float64 `json:"then_to"`
			}
		}
		require.NoError(t, json.Unmarshal([]byte(out), &rec))
		require.Len(t, rec.Knobs, 4)
		if rec.Stop {
			t.Logf("stopped in round %d: %.4f at 80 %%, %.4f at 20 %%, from %.4f", round, set().off(0.8), set().off(0.2), start)
			break
		}
		for _, k := range rec.Knobs {
			require.Equal(t, math.Round(k.To), k.To, "%s moves in steps of 1", k.Knob)
			at[k.Knob] = k.To
		}
	}
	assert.Less(t, set().off(0.8), 0.001)
	assert.Less(t, set().off(0.2), 0.0024)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(text), "# knobs: "+knobs)
}

func TestWhiteAddKeepsWhatItCannotExtend(t *testing.T) {
	file := filepath.Join(t.TempDir(), "rounds.csv")
	require.NoError(t, os.WriteFile(file, []byte(rounds), 0o600))
	_, msg, code := runWhite(t, "--rounds", file, "--add", "--at", "red-drive=1,blue-cutoff=2", "--read", "20:.3 .31 2", "--read", "80:.3 .31 61")
	assert.Equal(t, 1, code)
	assert.Contains(t, msg, "so nothing is added; write the readings into it by hand")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, rounds, string(text))
}

func TestWhitePrompt(t *testing.T) {
	var out, msg bytes.Buffer
	s := &Streams{In: strings.NewReader("0.300 0.310 2.1\nbright\n0.305 0.318 61\n"), InTerminal: true, Out: &out, Err: &msg}
	require.Zero(t, Run(context.Background(), s, []string{"white"}), msg.String())
	assert.Contains(t, msg.String(), "not taken")
	assert.Contains(t, out.String(), "blue")
	assert.Contains(t, out.String(), "drive down, cutoff down")
}

func TestWhiteFields(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "fields.csv")
	require.NoError(t, os.WriteFile(file, []byte("name,x,y,Y\nred,.63,.34,21\ngreen,.31,.595,70\nblue,.155,.07,9\n"), 0o600))
	b := whiteBench{drive: [3]float64{1, 1, 1}}
	out, msg, code := runWhite(t, "--read", b.typed(20), "--read", b.typed(80), "--guns", file)
	require.Zero(t, code, msg)
	assert.Contains(t, out, "fields read of this set, "+file)
	assert.Contains(t, out, "drive stays, cutoff stays", "equal guns are at the white of their phosphors")
	require.NoError(t, os.WriteFile(file, []byte("name,x,y,Y\nred,.63,.34,21\nblue,.155,.07,9\n"), 0o600))
	_, msg, code = runWhite(t, "--read", b.typed(20), "--read", b.typed(80), "--guns", file)
	assert.Equal(t, 1, code)
	assert.Contains(t, msg, "no reading of a field called green")
}
