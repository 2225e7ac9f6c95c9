package job

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A log is a job's entries as they grow, a minute apart.
type log struct{ entries []Entry }

func (l *log) add(e Entry) int {
	e.ID = len(l.entries) + 1
	e.Time = time.Date(2026, 11, 25, 14, len(l.entries), 0, 0, time.UTC)
	l.entries = append(l.entries, e)
	return e.ID
}

func (l *log) done(key string) int { return l.ended(key, OutcomeOK) }

func (l *log) ended(key string, o Outcome) int {
	return l.add(Entry{Kind: KindDone, Done: &Done{Step: key, Outcome: o}})
}

func (l *log) states(p *Plan) []StepState { return p.States((&Job{Entries: l.entries}).Counting()) }

func stateOf(states []StepState, key string) *StepState {
	return &states[slices.IndexFunc(states, func(s StepState) bool { return s.Key == key })]
}

func keysOf(states []StepState, status Status) (keys []string) {
	for _, s := range states {
		if s.Status == status {
			keys = append(keys, s.Key)
		}
	}
	return keys
}

func testPlan(t *testing.T) *Plan {
	t.Helper()
	p, err := NewPlan(&Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i", Setup: "7.5",
		Inputs: []Input{{"video-1", "composite"}, {"parts", "component"}}}, nil, nil)
	require.NoError(t, err)
	return p
}

// playAll does every step that comes next until none is left.
func playAll(t *testing.T, p *Plan, l *log) {
	t.Helper()
	for range 10 * len(p.Steps) {
		s := Next(l.states(p))
		if s == nil {
			return
		}
		require.Empty(t, s.Waits)
		l.done(s.Key)
	}
	t.Fatal("the work does not end")
}

func TestPlayToTheEnd(t *testing.T) {
	r, sets := rand.New(rand.NewPCG(5, 6)), everySet()
	for range 100 {
		set := oneOf(r, sets)
		p, err := NewPlan(set, nil, nil)
		require.NoError(t, err)
		p, err = NewPlan(set, &Workshop{Steps: randomSteps(r, p)}, nil)
		require.NoError(t, err)
		var l log
		playAll(t, p, &l)
		assert.Len(t, l.entries, len(p.Steps), "a step was asked for twice")
		assert.Len(t, keysOf(l.states(p), Finished), len(p.Steps))
	}
}

// At the beginning only what needs nothing can be done; the rest says what it
// waits for.
func TestBeginning(t *testing.T) {
	p := testPlan(t)
	states := p.States(nil)
	assert.Equal(t, []string{"proof", "warm-up"}, keysOf(states, Open))
	assert.Len(t, keysOf(states, Waiting), len(p.Steps)-2)
	assert.Equal(t, "proof", Next(states).Key)
	s := stateOf(states, "degauss")
	assert.Equal(t, []string{"warm-up"}, s.Waits)
	assert.Equal(t, "It waits for Warm-up: a mask that is still getting warm moves, and the built-in coil works as the set is switched on.", s.Why)
}

// Doing any step again opens those that were done and rest on it, and no other.
func TestRedoReopensWhatRestsOnIt(t *testing.T) {
	r, sets := rand.New(rand.NewPCG(7, 8)), everySet()
	for range 60 {
		set := oneOf(r, sets)
		p, err := NewPlan(set, nil, nil)
		require.NoError(t, err)
		p, err = NewPlan(set, &Workshop{Steps: randomSteps(r, p)}, nil)
		require.NoError(t, err)
		var l log
		for range 1 + r.IntN(len(p.Steps)) {
			l.done(Next(l.states(p)).Key)
		}
		wasDone := keysOf(l.states(p), Finished)
		again := wasDone[r.IntN(len(wasDone))]
		l.done(again)
		var want []string
		for _, s := range p.Steps {
			if slices.Contains(wasDone, s.Key) && restsOn(p, s.Key, again) {
				want = append(want, s.Key)
			}
		}
		states := l.states(p)
		assert.Equal(t, want, keysOf(states, Reopened), "%s again", again)
		for _, k := range want {
			s := stateOf(states, k)
			assert.Contains(t, s.Why, stateOf(states, again).Title+" was done again on 2026-11-25 14:")
			assert.NotContains(t, s.Why, "..")
			assert.NotNil(t, s.Done)
		}
		assert.Equal(t, Finished, stateOf(states, again).Status)
		playAll(t, p, &l)
	}
}

func TestWhyOfReopened(t *testing.T) {
	p := testPlan(t)
	var l log
	playAll(t, p, &l)
	n := l.done("black")
	states := l.states(p)
	at := l.entries[n-1].Time.Format("15:04")
	assert.Equal(t, "Black level was done again on 2026-11-25 "+at+" UTC, entry 28, and White balance of the shadows (cutoff) rests on it: brightness moves the bias of all guns, so cutoffs are set on top of it.",
		stateOf(states, "cutoff").Why)
	require.Equal(t, 28, n)
	assert.Contains(t, stateOf(states, "drive").Why, "rests on it by way of White balance of the shadows (cutoff): drive stretches")
	assert.Equal(t, Finished, stateOf(states, "purity").Status)
	assert.Equal(t, "white", Next(states).Key)
	assert.Equal(t, []string{"white", "guns"}, stateOf(states, "cutoff").Waits)

	l.done("white")
	l.done("guns")
	states = l.states(p)
	assert.Empty(t, stateOf(states, "cutoff").Waits)
	assert.Equal(t, Reopened, stateOf(states, "cutoff").Status)
	assert.Equal(t, "cutoff", Next(states).Key)
}

// A step done for the first time after what rests on it was done opens that.
func TestFirstTimeLate(t *testing.T) {
	p := testPlan(t)
	var l log
	l.done("warm-up")
	l.done("purity") // without degaussing
	states := l.states(p)
	s := stateOf(states, "purity")
	assert.Equal(t, Waiting, s.Status)
	assert.Contains(t, s.Why, "It was done before what it rests on: Degauss: a magnetized")
	assert.NotNil(t, s.Done)
	l.done("degauss")
	s = stateOf(l.states(p), "purity")
	assert.Equal(t, Reopened, s.Status)
	assert.Contains(t, s.Why, "Degauss was done on 2026-11-25 14:02 UTC, entry 3, and Purity rests on it")
}

// What was left out or could not be done is over, is told, and opens nothing:
// nothing was touched.
func TestLeftOut(t *testing.T) {
	p := testPlan(t)
	for _, tt := range []struct {
		outcome Outcome
		why     string
		opens   bool
	}{
		{OutcomeOK, "", true},
		{OutcomeOut, "out of tolerance (2026-11-25 14:27 UTC, entry 28)", true},
		{OutcomeCannot, "no such control", false},
		{OutcomeSkip, "Left out on purpose", false},
	} {
		t.Run(string(tt.outcome), func(t *testing.T) {
			var l log
			playAll(t, p, &l)
			l.ended("black", tt.outcome)
			states := l.states(p)
			assert.Equal(t, Finished, stateOf(states, "black").Status)
			assert.Contains(t, stateOf(states, "black").Why, tt.why)
			assert.Equal(t, tt.opens, stateOf(states, "cutoff").Status == Reopened)

			var first log
			first.done("proof")
			first.done("warm-up")
			first.ended("degauss", tt.outcome)
			assert.Equal(t, "purity", Next(first.states(p)).Key, "what is over holds nothing up")
		})
	}
}

// Going through a loop again opens its steps, what rests on them, and the step
// that judged.
func TestAgain(t *testing.T) {
	p := testPlan(t)
	var l log
	for {
		s := Next(l.states(p))
		if s.Key == "balance" {
			break
		}
		l.done(s.Key)
	}
	l.add(Entry{Kind: KindDone, Done: &Done{Step: "balance", Outcome: OutcomeOut, Again: true}})
	states := l.states(p)
	assert.Equal(t, []string{"black", "white", "guns", "cutoff", "drive", "balance"}, keysOf(states, Reopened))
	assert.Contains(t, stateOf(states, "black").Why, "White balance judged sent the work back on 2026-11-25 14:")
	assert.Contains(t, stateOf(states, "black").Why, ": cutoffs have moved black.")
	assert.Equal(t, "black", Next(states).Key)
	playAll(t, p, &l)
	assert.Len(t, keysOf(l.states(p), Finished), len(p.Steps))
}

func TestMeasurementOpensNothing(t *testing.T) {
	p := testPlan(t)
	var l log
	playAll(t, p, &l)
	l.add(Entry{Kind: KindMeasure, Measure: &Measurement{What: WhatPurity}})
	l.add(Entry{Kind: KindNote, Text: "all is well"})
	l.done("polish the cabinet") // of no plan
	assert.Nil(t, Next(l.states(p)))
}

// To mend what an entry says is not to touch the set: nothing is open again,
// also after two corrections, and whether all entries are handed over or only
// those that count.
func TestCorrectedText(t *testing.T) {
	p := testPlan(t)
	var l log
	playAll(t, p, &l)
	n := slices.IndexFunc(l.entries, func(e Entry) bool { return e.Done.Step == "black" }) + 1
	first := l.add(Entry{Kind: KindDone, Corrects: n, Done: &Done{Step: "black", Outcome: OutcomeOut, Adjusted: "brightness"}})
	assert.Nil(t, Next(l.states(p)), "those that count")
	assert.Nil(t, Next(p.States(l.entries)), "all")
	states := l.states(p)
	assert.Equal(t, first, stateOf(states, "black").Done.ID)
	assert.Contains(t, stateOf(states, "black").Why, "out of tolerance")

	l.done("cutoff")
	playAll(t, p, &l)
	l.add(Entry{Kind: KindDone, Corrects: first, Done: &Done{Step: "black", Outcome: OutcomeOK}})
	assert.Nil(t, Next(p.States(l.entries)), "a correction of a correction stands where the first entry stood")
}

// A done entry that is withdrawn opens its step. What was done after it waits,
// and is opened when the step is done after all.
func TestWithdrawn(t *testing.T) {
	p := testPlan(t)
	var l log
	playAll(t, p, &l)
	n := slices.IndexFunc(l.entries, func(e Entry) bool { return e.Done.Step == "cutoff" }) + 1
	l.add(Entry{Kind: KindNote, Corrects: n, Text: "it was another set"})
	states := l.states(p)
	assert.Equal(t, []string{"cutoff"}, keysOf(states, Open))
	assert.Empty(t, keysOf(states, Reopened))
	assert.Equal(t, []string{"drive", "balance", "uniformity", "chroma@video-1", "family@parts", "peaking", "regulation", "streaking", "recheck"}, keysOf(states, Waiting))
	assert.Equal(t, []string{"cutoff"}, stateOf(states, "drive").Waits)
	assert.Equal(t, "cutoff", Next(states).Key)
	l.done("cutoff")
	states = l.states(p)
	assert.Contains(t, keysOf(states, Reopened), "drive")
	assert.Contains(t, stateOf(states, "drive").Why, "was done on", "for the first time, as far as the record goes")
	playAll(t, p, &l)
}

// The wrong step was named: the correction does the right one at that time.
func TestCorrectedStep(t *testing.T) {
	p := testPlan(t)
	var l log
	l.done("proof")
	n := l.done("degauss") // warm-up was meant
	l.add(Entry{Kind: KindDone, Corrects: n, Done: &Done{Step: "warm-up", Outcome: OutcomeOK}})
	states := l.states(p)
	assert.Equal(t, Finished, stateOf(states, "warm-up").Status)
	assert.Equal(t, Open, stateOf(states, "degauss").Status)
}

// Another input brings steps that are open, and the last look waits for them.
func TestInputAdded(t *testing.T) {
	set := &Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i", Setup: "7.5", Inputs: []Input{{"video-1", "composite"}}}
	p, err := NewPlan(set, nil, nil)
	require.NoError(t, err)
	var l log
	playAll(t, p, &l)
	set.Inputs = append(set.Inputs, Input{"video-2", "yc"})
	p, err = NewPlan(set, nil, nil)
	require.NoError(t, err)
	states := l.states(p)
	assert.Equal(t, []string{"chroma@video-2"}, keysOf(states, Open))
	assert.Equal(t, []string{"recheck"}, keysOf(states, Waiting))
	assert.Equal(t, []string{"chroma@video-2"}, stateOf(states, "recheck").Waits)
}

// A step of the user's own that comes late opens what has to come after it.
func TestOwnStepLate(t *testing.T) {
	set := &Set{Tube: SlotMask, Guns: InLine, Class: Grade1, Raster: "480i"}
	p, err := NewPlan(set, nil, nil)
	require.NoError(t, err)
	var l log
	playAll(t, p, &l)
	l.add(Entry{Kind: KindStep, Step: &Step{Key: "straps", Title: "Ground straps", Do: "Tighten them.",
		After: []Need{{"warm-up", "a warm joint shows its crack"}}, Before: []Need{{"purity", "a loose strap shifts the beams"}}}})
	p, err = NewPlan(set, nil, l.entries)
	require.NoError(t, err)
	own := p.Step("straps")
	require.NotNil(t, own)
	assert.True(t, own.Own)
	assert.Equal(t, "this job's own", own.Source)
	states := l.states(p)
	assert.Equal(t, Open, stateOf(states, "straps").Status)
	assert.Equal(t, Waiting, stateOf(states, "purity").Status)
	l.done("straps")
	states = l.states(p)
	assert.Equal(t, Reopened, stateOf(states, "purity").Status)
	assert.Contains(t, stateOf(states, "purity").Why, "a loose strap shifts the beams.")
	assert.Equal(t, Finished, stateOf(states, "degauss").Status)
}

func TestTextsOfStates(t *testing.T) {
	p := testPlan(t)
	var l log
	l.done("proof")
	l.done("purity")
	for _, s := range l.states(p) {
		if s.Status != Finished && s.Status != Open {
			assert.NotEmpty(t, s.Why, s.Key)
			assert.True(t, strings.HasSuffix(s.Why, "."), s.Why)
			assert.NotContains(t, s.Why, "  ")
		}
	}
}
