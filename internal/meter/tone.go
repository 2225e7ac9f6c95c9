package meter

// The ways in which a gamma is found.
const (
	ByLine   = "slope of log light over log signal"
	ByLess   = "slope of log light, less that of black, over log signal"
	ByBT1886 = "ITU-R BT.1886 with its black"
)

// plainly is how much worse than the best the plain line may fit and still be
// the one that is judged (own choice: EBU Tech 3320 v3 clause 5.4 has the line),
// and how much better a law must fit that has one figure more to fit with.
const plainly = 1.2

// Tone is the gamma to hold against a tolerance, and by which way it was found.
//
// The plain line is that of the documents. It is flattened by a black that gives
// light, and how much depends on where that light comes from: the guns' bias, as
// in BT.1886 (with black at .06 of 80 cd/m2 a tube of 2.4 has a plain line of
// 2.0), or the room and the glass, which add the same to every step. So where
// black was read, and there are four steps to tell by, the law that leaves the
// least of the steps is taken. Fewer steps are held to BT.1886.
func (s *Steps) Tone() (g Gamma, by string) {
	if !s.BlackKnown || !s.BT1886.OK {
		return s.Gamma, ByLine
	}
	b := Gamma{Value: s.BT1886.Gamma, Sigma: s.BT1886.Sigma, RMS: s.BT1886.RMS, N: s.BT1886.N, OK: true}
	if b.N < 4 {
		return b, ByBT1886
	}
	g, by = b, ByBT1886
	if s.LessBlack.OK && s.LessBlack.N == b.N && plainly*s.LessBlack.RMS < g.RMS {
		g, by = s.LessBlack, ByLess
	}
	if s.Gamma.OK && s.Gamma.RMS <= plainly*g.RMS {
		g, by = s.Gamma, ByLine
	}
	return g, by
}
