// Package output puts files on disk so that a name never stands for half a
// file.
//
// [File] makes one file, [Set] several files or a whole folder that appear
// together or not at all. Both write beside the target under a hidden name,
// and move the result into place only when it is complete and the context has
// not been canceled. A target that is not a regular file (a FIFO, a device)
// and standard output are written directly; nothing can be taken back there.
//
// Nothing is synced to the platter: the package guards against a failed or
// interrupted run, not against a loss of power. Errors name the target, the
// reason and the way out, in words meant for the person at the command line;
// they assume that the target was given with -o and that --force exists.
//
// The package knows nothing of pictures and imports only the standard library
// and golang.org/x/sys.
package output

// Hidden names of unfinished work: prefix, random digits, suffix. A run that
// was killed may leave one behind; it is safe to delete.
const (
	tempPrefix = ".backporch-"
	tempSuffix = ".part"
)

// Stdout is the path that means standard output.
const Stdout = "-"
