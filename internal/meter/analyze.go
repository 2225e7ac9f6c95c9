package meter

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"backporch/colorimetry"
)

// judgedFrom is the luminance, cd/m2, from which gray tracking counts: below it
// is not visible (EBU Tech 3320 v3 clause 5.5).
const judgedFrom = 1

// atLevel is how near a level is to the one that it is taken for: half an 8-bit
// code of Y', 1/438 of the range.
const atLevel = 0.5 / 219

// flattened is from where the difference of two gammas is worth a word: the
// tolerance of EBU Tech 3320 v3 clause 5.4.
const flattened = 0.10

// Analyze says what gray steps say. Two at least, in any order; a level that was
// read several times counts once, by its mean. Samples with the name of a color
// or of a zone beside the center are no gray steps and are left out.
func Analyze(samples []Sample, o Options) (*Steps, error) {
	npm, err := o.matrix()
	if err != nil {
		return nil, err
	}
	s := &Steps{}
	for _, m := range Average(slices.DeleteFunc(slices.Clone(samples), notGray)) {
		s.Steps = append(s.Steps, Step{Level: m.Level, XYZ: m.XYZ, N: m.N, Sigma: m.Sigma})
		s.Repeated += m.N - 1
	}
	slices.SortFunc(s.Steps, func(a, b Step) int { return cmp.Compare(a.Level, b.Level) })
	switch len(s.Steps) {
	case 0:
		return nil, errors.New("there are no gray steps; read two or more levels, such as 20 and 80 per cent")
	case 1:
		return nil, fmt.Errorf("the step at %.4g per cent alone says nothing of gamma and tracking; read two or more levels, such as 20 and 80 per cent", 100*s.Steps[0].Level)
	}
	white := s.white()
	if !(white.XYZ.Y > 0) {
		return nil, fmt.Errorf("the step at %.4g per cent gives no light, so there is no white to hold the others against; read the white step", 100*white.Level)
	}
	inverse := npm.Inverse()
	target := o.Target.At(white.XYZ.Y)
	for i := range s.Steps {
		s.Steps[i].against(white.XYZ, target, o)
		lit := less(s.Steps[i].XYZ, o.Unlit)
		s.Steps[i].Guns = inverse.Mul([3]float64{lit.X, lit.Y, lit.Z})
		if s.Steps[i].Judged {
			s.Judged++
			s.WorstTrack = max(s.WorstTrack, s.Steps[i].Track)
		}
	}
	s.White = s.white()
	s.black()
	s.gammas()
	s.note(o)
	return s, nil
}

// notGray reports a sample that belongs to another measurement.
func notGray(s Sample) bool {
	return isColor(s.Name) || s.Name != Center && slices.Contains(Zones(), s.Name)
}

// matrix returns the normalized primary matrix at the target white.
func (o Options) matrix() (colorimetry.Matrix, error) {
	p := o.Primaries
	if o.Measured != nil {
		var err error
		if p, err = primaries(*o.Measured); err != nil {
			return colorimetry.Matrix{}, err
		}
	}
	if o.Target.Y <= 0 {
		return colorimetry.Matrix{}, errors.New("no target white; name one, such as D65")
	}
	if math.Abs(area(p.R, p.G, p.B)) < leastArea {
		return colorimetry.Matrix{}, fmt.Errorf("the primaries %s span no triangle, so light cannot be shared out among the guns; name others, or measure them", p.Name)
	}
	if err := p.CanMake(o.Target); err != nil {
		return colorimetry.Matrix{}, err
	}
	return p.Matrix(o.Target.XY), nil
}

// white is the step at 100 %, or else the highest.
func (s *Steps) white() Step {
	for _, x := range s.Steps {
		if math.Abs(x.Level-1) < atLevel {
			return x
		}
	}
	return s.Steps[len(s.Steps)-1]
}

// against fills in what a step is beside the target and beside the set's own
// white.
func (x *Step) against(white, target colorimetry.XYZ, o Options) {
	x.Judged = x.XYZ.Y >= judgedFrom
	xy, ok := x.XYZ.XY()
	if !ok || !(x.XYZ.Y > 0) {
		return
	}
	x.XY, x.UV = xy, xy.UV1976()
	if t, err := xy.Temperature(); err == nil {
		x.CCT, x.HasCCT = t, true
	}
	should := o.Target.At(x.XYZ.Y)
	x.Off = x.XYZ.Luv(target).Chroma(should.Luv(target))
	x.DE00 = colorimetry.CIEDE2000(x.XYZ.Lab(target), should.Lab(target))
	goal := o.Target.UV1976()
	x.DUV = math.Hypot(x.UV.U-goal.U, x.UV.V-goal.V)
	own, _ := white.XY()
	x.Track = x.XYZ.Luv(white).Chroma(own.At(x.XYZ.Y).Luv(white))
}

// black finds the step at 0 %.
func (s *Steps) black() {
	for _, x := range s.Steps {
		if math.Abs(x.Level) < atLevel {
			s.Black, s.BlackKnown = x.XYZ.Y, true
		}
	}
	if s.BlackKnown && s.Black > 0 {
		s.Contrast = s.White.XYZ.Y / s.Black
	}
}

// note says what a reader of the figures must know.
func (s *Steps) note(o Options) {
	say := func(format string, args ...any) { s.Notes = append(s.Notes, fmt.Sprintf(format, args...)) }
	if s.Repeated > 0 {
		say("%d readings of levels that had been read before are averaged", s.Repeated)
	}
	if math.Abs(s.White.Level-1) >= atLevel {
		say("there is no step at 100 %%: that at %.4g %% stands for white", 100*s.White.Level)
	}
	if !s.BlackKnown {
		say("there is no step at 0 %%, so black, contrast and the fit of BT.1886 are not known")
	}
	if g, by := s.Tone(); g.OK && g.Value-s.Gamma.Value > flattened {
		from := map[string]string{ByBT1886: "the bias of the guns, as ITU-R BT.1886 has it", ByLess: "light that every step has alike, such as that of the room"}[by]
		say("black is lifted, which flattens the plain line of gamma to %.2f; the steps fit %s, and so %.2f is the figure to judge", s.Gamma.Value, from, g.Value)
	}
	if s.Judged == 0 {
		say("no step gives 1 cd/m2, from which tracking is judged (EBU Tech 3320 v3 clause 5.5)")
	}
	for _, x := range s.Steps {
		lit := less(x.XYZ, o.Unlit)
		if min(lit.X, lit.Y, lit.Z) < 0 {
			say("the step at %.4g %% gives less light than the unlit screen: the two were read in different light", 100*x.Level)
		} else if x.Judged && min(x.Guns[0], x.Guns[1], x.Guns[2]) < 0 {
			say("at %.4g %% a gun would give less than no light: the primaries are not those of this tube", 100*x.Level)
		}
	}
}

func less(a, b colorimetry.XYZ) colorimetry.XYZ {
	return colorimetry.XYZ{X: a.X - b.X, Y: a.Y - b.Y, Z: a.Z - b.Z}
}
