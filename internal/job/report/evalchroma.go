package report

import (
	"errors"
	"fmt"
	"slices"

	"backporch/internal/blueonly"
	"backporch/internal/job"
)

// chroma is bars of one gun alone, by meter or by eye.
func (r *Result) chroma(g *Given) error {
	wire, err := g.wire(r.M.Input)
	if err != nil {
		return err
	}
	if wire == "rgb" {
		return fmt.Errorf("input %s takes RGB, which has no chroma: read its levels with gray steps instead", r.M.Input)
	}
	chain := blueonly.Chain{Gamma: g.Gamma, Component: wire == "component", Lines: 525}
	if chain.Gamma == 0 {
		chain.Gamma = 2.4
		r.say("The gamma of the tube is taken as 2.4: gray steps would tell it.")
	}
	if g.System == "625" {
		chain.Lines = 625
	}
	light := map[string]float64{}
	var eye blueonly.Eye
	looked := false
	for _, b := range r.M.Bars {
		if b.Light != nil {
			light[b.Name] = *b.Light
			continue
		}
		look, err := blueonly.ParseLook(b.Looks)
		if err != nil {
			return fmt.Errorf("bar %s: %w", b.Name, err)
		}
		if err := eye.See(b.Name, b.Than, look); err != nil {
			return err
		}
		looked = true
	}
	switch {
	case len(light) > 0:
		if err := r.metered(g, chain, light); err != nil {
			return err
		}
	case looked:
		if err := r.looked(g, chain, eye); err != nil {
			return err
		}
	default:
		return errors.New("no bar was read: give the light of gray, cyan, magenta and blue with the blue gun alone, or how they look")
	}
	return nil
}

// wire is the kind of an input by its name; where the set has one only, it.
func (g *Given) wire(input string) (string, error) {
	if g.Set == nil {
		return "composite", nil
	}
	var names []string
	for _, in := range g.Set.Inputs {
		if in.Name == input || input == "" && len(g.Set.Inputs) == 1 {
			return in.Wire, nil
		}
		names = append(names, in.Name)
	}
	if input == "" {
		return "", fmt.Errorf("chroma is of one input: say which of %s with --input", names)
	}
	return "", fmt.Errorf("the set has no input %q; it has %s", input, names)
}

// metered is bars by a light meter: four with the blue gun, or on component
// inputs four with the red gun, or both.
func (r *Result) metered(g *Given, chain blueonly.Chain, light map[string]float64) error {
	has := func(names ...string) bool {
		return !slices.ContainsFunc(names, func(n string) bool { _, ok := light[n]; return !ok })
	}
	basis := fmt.Sprintf("assumed: a meter repeats to %.4g %% on a bar (common practice)", 100*blueonly.Noise)
	blue := has("gray", "cyan", "magenta", "blue")
	red := chain.Component && has("gray", "yellow", "magenta", "red")
	switch {
	case blue:
		res, err := chain.Solve(blueonly.Reading{Gray: light["gray"], Cyan: light["cyan"], Magenta: light["magenta"], Blue: light["blue"], Black: light["black"]})
		if err != nil {
			return err
		}
		r.Chroma = res
		name := "Chroma gain, error"
		if chain.Component {
			name = "Gain of Pb, error"
		}
		if res.GainKnown {
			r.hold(g, Judged{Key: "chroma-gain", Limit: job.LimitChromaGain, Name: name, Unit: "%", Decimals: 1, Value: 100 * (res.Gain - 1), Sigma: 100 * res.GainSigma, Across: 100 * res.GainSigma, Basis: basis})
		}
		if res.PhaseKnown {
			r.hold(g, Judged{Key: "chroma-phase", Limit: job.LimitChromaPhase, Name: "Chroma phase, error", Unit: "degrees", Decimals: 1, Value: res.Phase, Sigma: res.PhaseSigma, Across: res.PhaseSigma, Basis: basis})
		}
		r.Words = append(r.Words, res.Words...)
	case red:
		res, err := chain.SolveRed(blueonly.RedReading{Gray: light["gray"], Yellow: light["yellow"], Magenta: light["magenta"], Red: light["red"], Black: light["black"]})
		if err != nil {
			return err
		}
		r.Chroma = res
		r.hold(g, Judged{Key: "chroma-gain-pr", Limit: job.LimitChromaGain, Name: "Gain of Pr, error", Unit: "%", Decimals: 1, Value: 100 * (res.Gain - 1), Sigma: 100 * res.GainSigma, Across: 100 * res.GainSigma, Basis: basis})
		r.Words = append(r.Words, res.Words...)
	default:
		var lacks []string
		for _, n := range []string{"gray", "cyan", "magenta", "blue"} {
			if !has(n) {
				lacks = append(lacks, n)
			}
		}
		return fmt.Errorf("the light of %v is missing: read gray, cyan, magenta and blue with the blue gun alone", lacks)
	}
	return nil
}

// looked is pairs of bars by eye: equal is within what an eye sees.
func (r *Result) looked(g *Given, chain blueonly.Chain, eye blueonly.Eye) error {
	res, err := chain.Judge(eye)
	if err != nil {
		return err
	}
	const source = "equal to the eye (common practice)"
	hold := func(key, name string, look blueonly.Look, known bool, low, high, right string) {
		j := Judged{Key: key, Limit: key, Name: name, Source: source}
		switch look {
		case blueonly.Unseen:
			return
		case blueonly.Darker:
			j.Text, j.Out = low, true
		case blueonly.Brighter:
			j.Text, j.Out = high, true
		default:
			j.Text = "equal by eye"
			if known {
				j.Text += ", within about " + right
			}
		}
		r.Judged = append(r.Judged, j)
	}
	gain := "Chroma gain, by eye"
	if chain.Component {
		gain = "Gain of Pb, by eye"
	}
	hold("chroma-gain", gain, eye.BlueThanGray, res.GainKnown, "too low: blue darker than gray", "too high: blue brighter than gray", trimmed(100*res.GainSigma, 1)+" %")
	if !chain.Component {
		hold("chroma-phase", "Chroma phase, by eye", eye.CyanThanMagenta, res.PhaseKnown, "off: cyan darker than magenta", "off: cyan brighter than magenta", trimmed(res.PhaseSigma, 1)+" degrees")
	}
	r.Words = append(r.Words, res.Words...)
	return nil
}
