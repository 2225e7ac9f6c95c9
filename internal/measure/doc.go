// Package measure compares a captured picture with the definition of the
// pattern that was played: it finds where in the capture the picture lies,
// measures every named patch, and says in words which fault of the chain
// explains what it found.
//
// It is given numbers and returns numbers; files are the business of package
// ingest, verdicts and pages that of package check.
package measure
