// Package crosscheck holds the tests that two routes agree: the program's files
// read back by other people's code, by a slow and obvious twin of the sampler,
// and by each other. It has no code of its own, and may import everything.
//
// With -short each test takes three probe patterns on two rasters, and all
// formats.
package crosscheck
