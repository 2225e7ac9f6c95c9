// Package deliver makes files that players play, by an installed ffmpeg as the
// encoder, and proves each of them: the file is decoded again, every named
// patch is measured against the definition, and all that the file says of
// itself (field order, matrix, range, shape, rate) is compared with the raster
// that it was made from.
//
// The encoder is never left to convert: it is given the samples that its format
// holds, at their depth and with chroma where the format has it, and is told
// only how to write them. What a file is flagged as derives from the raster.
//
// Files, disc folders and progress on a terminal are the business of the
// caller, which hands in paths.
package deliver
