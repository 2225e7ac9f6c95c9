package cli

import (
	"backporch/internal/check"
	"backporch/internal/ingest"
	"backporch/internal/measure"
	"backporch/internal/render"
)

// motion looks at when each field of a moving pattern is from.
func (o *checkOptions) motion(r *check.Report, frames []*ingest.Mean, job *render.Job) {
	if job.Scene.Period <= 1 {
		return
	}
	var list []*measure.Picture
	for _, f := range frames {
		list = append(list, check.Picture(f))
	}
	if times, sure, ok := measure.FieldTimes(list, r.Result.Place, job.Scene, job.Raster); ok {
		r.Motion = check.NewMotion(times, sure, job.Raster, job.Scene.Period)
	}
}
