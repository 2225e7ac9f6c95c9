// Package arch holds the tests of the module's shape: which package may lean
// on which, what stands at the top level, and a few rules of style that a
// compiler does not check. It has no code that anything could import.
//
// The table in policy_test.go is a statement of what is meant, not a record
// of what is there: no row is added to make a build pass.
package arch
