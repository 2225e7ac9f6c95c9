// Package report turns a job into tables, a sheet to hand over, a blank
// worksheet and a comparison with another job.
package report
