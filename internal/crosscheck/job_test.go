package crosscheck

import (
	"io"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/job"

	"github.com/stretchr/testify/require"
)

// TestPatternsOfJobs takes the spellings of every step of every kind of plan,
// on every raster that there is, and makes the picture: a plan may not send
// somebody to a picture that cannot be made.
func TestPatternsOfJobs(t *testing.T) {
	type picture struct{ spec, setup string }
	for _, raster := range rasters() {
		t.Run(raster.Name, func(t *testing.T) {
			made := make(map[picture]string) // with a step that wants it
			for _, tube := range job.Tubes() {
				for _, guns := range job.GunsNames() {
					for _, setup := range []string{"0", "7.5", "as-player"} {
						set := &job.Set{Tube: job.Tube(tube), Guns: job.Guns(guns), Class: job.Grade1, Raster: raster.Name, Setup: setup}
						for n := range 1 << len(job.Wires()) {
							set.Inputs = nil
							for i, wire := range job.Wires() {
								if n&(1<<i) != 0 {
									set.Inputs = append(set.Inputs, job.Input{Name: "in-" + wire, Wire: wire})
								}
							}
							p, err := job.NewPlan(set, nil, nil)
							require.NoError(t, err)
							for _, s := range p.Steps {
								for _, spec := range append([]string{s.Pattern}, s.More...) {
									made[picture{spec, setup}] = s.Key
								}
							}
						}
					}
				}
			}
			m, j := colorimetry.CompositeM, colorimetry.CompositeJ
			plans := map[string][]colorimetry.Plan{"0": {{Wire: j, Player: j}}, "7.5": {{Wire: m, Player: m}, {Wire: m, Player: j}}, "as-player": {{}}}
			if raster.Scan.System.Lines() == 625 {
				plans = map[string][]colorimetry.Plan{"as-player": {{}}} // there is one black only
			}
			for q, step := range made {
				for _, plan := range plans[q.setup] {
					for _, name := range []string{"y4m", "png"} {
						s := shot{spec: q.spec, raster: raster, choice: format.Choice{Name: name}, plan: plan}
						laid, err := s.layout()
						require.NoError(t, err, "step %s: %s as %s", step, q.spec, name)
						require.NoError(t, laid.Write(t.Context(), io.Discard), "step %s: %s as %s", step, q.spec, name)
					}
				}
			}
		})
	}
}
