package crosscheck

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"backporch/internal/cli"

	"github.com/stretchr/testify/require"
)

// A benchJob plays a course on the command line, which is all that it touches
// the job with.
type benchJob struct {
	*benchCourse
	t       *testing.T
	dir     string // the workshop's folder
	now     time.Time
	visits  map[string]int
	out     map[string]bool // stage and kind of readings that were out of tolerance
	rounds  int             // of white balance
	stopped bool            // the advice was to stop
}

// playBench plays a course to its end in a folder.
func playBench(t *testing.T, dir string, c *benchCourse, start time.Time) *benchJob {
	t.Helper()
	b := &benchJob{benchCourse: c, t: t, dir: dir, now: start, visits: map[string]int{}, out: map[string]bool{}}
	b.run(slices.Concat([]string{"job", "new", c.name}, c.create, b.who())...)
	for range 150 {
		var next struct {
			Step *string `json:"step"`
		}
		require.NoError(t, json.Unmarshal([]byte(b.run("job", "next", c.name, "--json")), &next))
		if next.Step == nil {
			return b
		}
		b.step(*next.Step)
	}
	t.Fatalf("%s: the work does not end", c.name)
	return nil
}

func (b *benchJob) who() []string { return []string{"--by", "workshop"} }

// command runs the program. Its clock goes on by four minutes each time and
// stands still meanwhile.
func (b *benchJob) command(args ...string) (code int, out, errs string) {
	b.t.Helper()
	b.now = b.now.Add(4 * time.Minute)
	at := b.now
	var o, e bytes.Buffer
	s := &cli.Streams{Out: &o, Err: &e, Now: func() time.Time { return at }}
	code = cli.Run(b.t.Context(), s, append(args, "--bench", b.dir))
	return code, o.String(), e.String()
}

// run runs what must succeed.
func (b *benchJob) run(args ...string) string {
	b.t.Helper()
	code, out, errs := b.command(args...)
	require.Zero(b.t, code, "backporch %q: %s", args, errs)
	return out
}

// step does a step as the course has it, and what else is done after it.
func (b *benchJob) step(key string) {
	b.t.Helper()
	visit := b.visits[key]
	acts := b.acts[key]
	var act benchAct
	if len(acts) > 0 {
		act = acts[min(visit, len(acts)-1)]
	}
	switch key {
	case "proof":
		b.source()
	case "guns":
		b.measure("", "guns", "flat color=red", b.set.guns())
	case "cutoff", "drive":
		act.adjusted = b.balance(key)
	case "balance":
		b.measure("", "gray", "staircase risers=10", b.set.staircase(), "--knobs", b.knobs())
		b.rounds++
		b.advise()
		act.again = !b.stopped
		act.note = fmt.Sprintf("after %d rounds of readings", b.rounds)
	case "family@component":
		b.measure("", "chroma", "bars-full", b.set.bars("component", "red"), "--input", "component", "--note", "the red gun alone, for Pr")
	case "recheck":
		b.readings("after")
	default:
		require.NotEmpty(b.t, acts, "the course has nothing for step %s", key)
	}
	if act.turn != nil {
		act.turn(b.set)
	}
	b.done(key, act)
	if key == "warm-up" && visit == 0 {
		b.readings("before")
	}
	if visit > 0 {
		return
	}
	for _, x := range b.extra {
		switch {
		case x.after != key:
		case x.args[0] == "done":
			b.step(x.args[1])
		default:
			b.run(slices.Concat([]string{"job"}, x.args, []string{"--job", b.name}, b.who())...)
		}
	}
}

func (b *benchJob) done(key string, act benchAct) {
	b.t.Helper()
	b.visits[key]++
	args := slices.Concat([]string{"job", "done", key, "--job", b.name}, b.who())
	for flag, value := range map[string]string{"--adjusted": act.adjusted, "--outcome": act.outcome, "--note": act.note} {
		if value != "" {
			args = append(args, flag, value)
		}
	}
	if act.again {
		args = append(args, "--again")
	}
	b.run(args...)
}

// measure records readings, all of them marked as invented, and returns the
// number of the entry.
func (b *benchJob) measure(stage, what, pattern string, reads []string, more ...string) (entry string) {
	b.t.Helper()
	args := slices.Concat([]string{"job", "measure", what, "--job", b.name, "--invented"}, b.who(), more)
	for flag, value := range map[string]string{"--stage": stage, "--pattern": pattern, "--instrument": benchInstrument(what)} {
		if value != "" {
			args = append(args, flag, value)
		}
	}
	for _, r := range reads {
		args = append(args, "--read", r)
	}
	code, _, errs := b.command(args...)
	require.Contains(b.t, []int{0, 3}, code, "backporch %q: %s", args, errs)
	if code == 3 {
		b.out[stage+" "+what] = true
	}
	m := regexp.MustCompile(`recorded as entry (\d+)`).FindStringSubmatch(errs)
	require.NotNil(b.t, m, errs)
	return m[1]
}

func benchInstrument(what string) string {
	switch what {
	case "gray", "guns", "uniformity", "chroma":
		return "contact colorimeter"
	case "geometry", "regulation":
		return "steel ruler"
	case "convergence":
		return "magnifier with a scale"
	}
	return ""
}

// source is what check says of a file that stands for a capture.
func (b *benchJob) source() {
	b.t.Helper()
	dir := b.t.TempDir()
	capture, verdict := filepath.Join(dir, "capture.y4m"), filepath.Join(dir, "verdict.json")
	code, _, errs := b.plain("render", "bars-eg1", "-o", capture)
	require.Zero(b.t, code, errs)
	code, out, errs := b.plain("check", capture, "--pattern", "bars-eg1", "--via", "none", "--json")
	require.Zero(b.t, code, errs)
	require.NoError(b.t, os.WriteFile(verdict, []byte(strings.ReplaceAll(out, dir+string(filepath.Separator), "")), 0o644))
	b.measure("", "source", "", nil, "--check", verdict)
}

// plain runs a command that has no job.
func (b *benchJob) plain(args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = cli.Run(b.t.Context(), &cli.Streams{Out: &o, Err: &e}, args)
	return code, o.String(), e.String()
}

func (b *benchJob) knobs() string {
	var list []string
	for i, n := range benchKnobs() {
		list = append(list, fmt.Sprintf("%s=%g", n, b.set.knobs[i]))
	}
	return strings.Join(list, ",")
}

// balance is a round of white balance: a few grays are read, and the knobs of
// the step at hand are put where the program says.
func (b *benchJob) balance(step string) (adjusted string) {
	b.t.Helper()
	b.measure("", "gray", "staircase risers=10", b.set.grays(10, 20, 40, 80, 100), "--knobs", b.knobs())
	b.rounds++
	next := b.advise()
	var moves []string
	for i, n := range benchKnobs() {
		if to, ok := next[n]; ok && strings.HasSuffix(n, step) && to != b.set.knobs[i] {
			moves = append(moves, fmt.Sprintf("%s %g to %g", n, b.set.knobs[i], to))
			b.set.knobs[i] = to
		}
	}
	if moves == nil {
		return "nothing"
	}
	return strings.Join(moves, ", ")
}

// advise asks where the knobs should stand; a little nearer than the class asks
// for.
func (b *benchJob) advise() map[string]float64 {
	b.t.Helper()
	var spec []string
	for _, n := range benchKnobs() {
		spec = append(spec, n+"=0..255/1")
	}
	var advice struct {
		Stop  bool `json:"stop"`
		Knobs []struct {
			Knob string   `json:"knob"`
			To   *float64 `json:"then_to"`
		} `json:"knobs"`
	}
	out := b.run("white", "--job", b.name, "--knobs", strings.Join(spec, ","), "--within", "0.0015", "--json")
	require.NoError(b.t, json.Unmarshal([]byte(out), &advice), out)
	next := map[string]float64{}
	for _, k := range advice.Knobs {
		if k.To != nil {
			next[k.Knob] = *k.To
		}
	}
	b.stopped = advice.Stop
	return next
}

// readings are all that is read before the work, and after it.
func (b *benchJob) readings(stage string) {
	b.t.Helper()
	s := b.set
	b.measure(stage, "purity", "flat color=red", s.fields())
	b.measure(stage, "convergence", "crosshatch", s.convergence(), "--screen", fmt.Sprintf("%gx%g", benchWidth, benchHeight))
	rulers, err := s.rulers()
	require.NoError(b.t, err)
	b.measure(stage, "geometry", "crosshatch", rulers, "--screen", fmt.Sprintf("%gx%g", benchWidth, benchHeight))
	b.measure(stage, "focus", "focus-field", s.sharpness())
	b.measure(stage, "guns", "flat color=red", s.guns())
	b.measure(stage, "gray", "staircase risers=10", s.staircase())
	zones := s.uniformity()
	if stage == "before" { // a decimal point in the wrong place, mended at once
		wrong := slices.Clone(zones)
		at := strings.LastIndex(wrong[3], ".")
		wrong[3] = wrong[3][:at-1] + "." + wrong[3][at-1:at] + wrong[3][at+1:]
		entry := b.measure(stage, "uniformity", "flat color=white", wrong)
		b.measure(stage, "uniformity", "flat color=white", zones, "--corrects", entry, "--note", "the point of the left zone stood in the wrong place")
	} else {
		b.measure(stage, "uniformity", "flat color=white", zones)
	}
	for _, in := range []string{"composite", "yc", "component"} {
		if _, ok := s.chroma[in]; !ok {
			continue
		}
		if eye, ok := b.eyes[in]; ok {
			b.measure(stage, "chroma", "bars-full", nil, "--input", in, "--eye", eye[stage])
			continue
		}
		b.measure(stage, "chroma", "bars-full", s.bars(in, "blue"), "--input", in)
	}
	b.measure(stage, "regulation", "crosshatch", s.sizes())
}
