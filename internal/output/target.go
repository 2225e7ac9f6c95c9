package output

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// target is what a path turned out to be.
type target struct {
	path   string      // as given, for messages
	dir    string      // the folder that holds the file
	base   string      // its name there
	exists bool        // a regular file is there
	mode   fs.FileMode // of what is there
}

// direct reports whether the target is written in place.
func (t *target) direct() bool { return t.mode.Type() != 0 }

// left says what stands under the name if writing fails.
func (t *target) left() string {
	if t.exists {
		return "the old file is unchanged"
	}
	return "nothing was left under that name"
}

// Check says whether [File] would accept path, without touching anything, so
// that a command can refuse before it has computed for a minute. The errors are
// *[ExistsError] and *[TargetError].
func Check(path string, force bool) error {
	if path == Stdout {
		return nil
	}
	_, err := inspect(path, force)
	return err
}

// inspect finds out what path is. A symbolic link stands for what it points to.
func inspect(path string, force bool) (*target, error) {
	refuse := func(reason, way string, err error) (*target, error) {
		return nil, &TargetError{path, reason, way, err}
	}
	if path == "" {
		return refuse("the output has an empty name", "give a file name with -o, or - for standard output", nil)
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return refuse(path+" is a folder", "give the name of a file in it with -o", nil)
	case err == nil && !info.Mode().IsRegular():
		return &target{path: path, mode: info.Mode()}, nil
	case err == nil && !force:
		return nil, &ExistsError{path}
	case err == nil:
		real, err := filepath.EvalSymlinks(path)
		if err != nil {
			return refuse(fmt.Sprintf("%s cannot be followed: %v", path, bare(err)), "choose another name with -o", err)
		}
		return &target{path: path, dir: filepath.Dir(real), base: filepath.Base(real), exists: true}, nil
	case !errors.Is(err, fs.ErrNotExist) && !isNotFolder(err):
		return refuse(fmt.Sprintf("%s cannot be looked at: %v", path, bare(err)), "choose another place with -o", err)
	}
	if to, err := os.Readlink(path); err == nil {
		return refuse(fmt.Sprintf("%s is a symbolic link to %s, which does not exist", path, to),
			"remove the link or choose another name with -o", nil)
	}
	if strings.HasSuffix(filepath.ToSlash(path), "/") {
		return refuse(path+" ends in a slash and names no file", "give a file name with -o", nil)
	}
	t := &target{path: path, dir: filepath.Dir(path), base: filepath.Base(path)}
	if err := folderError(path, t.dir); err != nil {
		return nil, err
	}
	return t, nil
}

// folderError says why dir cannot hold path, or nil.
func folderError(path, dir string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &TargetError{path, fmt.Sprintf("the folder %s does not exist", dir),
			"create it or choose another place with -o", err}
	case isNotFolder(err) || err == nil && !info.IsDir():
		return &TargetError{path, dir + " is not a folder", "choose another place with -o", err}
	case err != nil:
		return &TargetError{path, fmt.Sprintf("the folder %s cannot be looked at: %v", dir, bare(err)),
			"choose another place with -o", err}
	}
	return nil
}

// createError says why nothing can be created in dir.
func createError(path, dir string, err error) error {
	reason := fmt.Sprintf("nothing can be created in the folder %s: %v", dir, bare(err))
	switch {
	case errors.Is(err, fs.ErrPermission):
		reason = "no permission to write in the folder " + dir
	case IsFull(err):
		reason = fmt.Sprintf("%s: the disk is full and nothing was written", path)
	}
	return &TargetError{path, reason, "choose another place with -o", err}
}
