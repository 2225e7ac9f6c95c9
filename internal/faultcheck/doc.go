// Package faultcheck holds tests alone: captures with faults that other people's
// programs, our own signals and published matrices make, and captures without,
// judged as check does.
package faultcheck
