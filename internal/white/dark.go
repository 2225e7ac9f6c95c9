package white

import "fmt"

// darkest is the level of the signal below which a gray step tells more of the
// screen's own reflection and of the meter than of the guns (common practice:
// cutoffs are set at 10 to 20 %).
const darkest = .05

// bright leaves out the steps below darkest, where two others remain, and says
// how many those were.
func bright(steps []Reading) (kept []Reading, left int) {
	for _, r := range steps {
		if r.Level > -.1 && r.Level < darkest {
			left++
			continue
		}
		kept = append(kept, r)
	}
	if len(kept) < 2 {
		return steps, 0
	}
	return kept, left
}

func darkNote() string {
	return fmt.Sprintf("steps below %.0f %% are left out: their light is more of the room and of black level than of the guns", 100*darkest)
}

// brightRounds is bright for the steps of every round.
func brightRounds(rounds []Round) (kept []Round, left int) {
	for _, r := range rounds {
		n := 0
		r.Steps, n = bright(r.Steps)
		kept, left = append(kept, r), left+n
	}
	return kept, left
}
