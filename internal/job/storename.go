package job

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// longestName of a job, so that the names beside it fit every file system.
const longestName = 64

// Suffixes of the files of a job. Only the first one makes a job.
const (
	jobSuffix  = ".json"
	copySuffix = ".json.good" // the last good copy
	lockSuffix = ".json.lock"
)

// files are the places of a job on disk.
type files struct {
	name     string
	path     string // as people see it
	real     string // what it is behind symbolic links: the copy and the lock stand there
	copyPath string
	lockPath string
}

// files says where a job of that name stands.
func (b *Bench) files(name string) (*files, error) {
	if err := CheckName(name); err != nil {
		return nil, err
	}
	f := &files{name: name, path: filepath.Join(b.Dir, name+jobSuffix)}
	f.real = f.path
	real, err := filepath.EvalSymlinks(f.path)
	switch to, lerr := os.Readlink(f.path); {
	case err == nil:
		f.real = real
	case lerr == nil:
		return nil, fmt.Errorf("%s is a symbolic link to %s, which does not exist; remove the link or bring the file back", f.path, to)
	}
	f.copyPath, f.lockPath = f.real+".good", f.real+".lock"
	return f, nil
}

// here says whether the job's file exists; it must be a regular one.
func (f *files) here() (bool, error) {
	info, err := os.Stat(f.real)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("%s cannot be looked at: %w; see to the permissions of the folder", f.path, bare(err))
	case info.IsDir():
		return false, fmt.Errorf("%s is a folder, and a job is a file; choose another name", f.path)
	case !info.Mode().IsRegular():
		return false, fmt.Errorf("%s is no regular file; choose another name", f.path)
	}
	return true, nil
}

// CheckName says why a name cannot be a job's: letters a to z, digits, dot,
// hyphen and underscore are the same file on every system.
func CheckName(name string) error {
	fail := func(reason string) error {
		return fmt.Errorf("the job's name %q %s; a name has letters, digits, dots, hyphens and underscores, begins with a letter or a digit, and has no more than %d characters, such as bench-a",
			name, reason, longestName)
	}
	if name == "" {
		return errors.New("the job has no name; give one, such as bench-a")
	}
	for _, r := range name {
		if !plain(r) && !strings.ContainsRune(".-_", r) {
			return fail(fmt.Sprintf("has %q in it", r))
		}
	}
	base, _, _ := strings.Cut(strings.ToLower(name), ".")
	switch {
	case !plain(rune(name[0])):
		return fail(fmt.Sprintf("begins with %q", name[0]))
	case len(name) > longestName:
		return fail(fmt.Sprintf("has %d characters", len(name)))
	case strings.HasSuffix(strings.ToLower(name), jobSuffix):
		return fail("ends in .json, which is added to it")
	case reserved(base):
		return fail("is that of a device on some systems")
	}
	return nil
}

// plain says whether r may begin a name.
func plain(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9'
}

// reserved says whether Windows takes base for a device, with whatever suffix.
func reserved(base string) bool {
	switch base {
	case "con", "prn", "aux", "nul":
		return true
	}
	return len(base) == 4 && (strings.HasPrefix(base, "com") || strings.HasPrefix(base, "lpt")) && base[3] >= '0' && base[3] <= '9'
}

// NameOf makes the name of a job out of a label: "bench-a" of "Bench A". It is
// "" for a label without a letter or digit of the kind that a name may have.
func NameOf(label string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(label) {
		switch s := b.String(); {
		case b.Len() == longestName:
		case plain(r), (r == '.' || r == '_') && s != "":
			b.WriteRune(r)
		case s != "" && !strings.HasSuffix(s, "-"):
			b.WriteByte('-')
		}
	}
	name := tidy(b.String())
	if base, _, _ := strings.Cut(name, "."); reserved(base) {
		name = tidy("job-" + name)
	}
	return name
}

// tidy cuts a name to its length, and what it may not end in.
func tidy(name string) string {
	name = strings.TrimRight(name[:min(len(name), longestName)], "-._")
	for strings.HasSuffix(name, jobSuffix) {
		name = strings.TrimRight(strings.TrimSuffix(name, jobSuffix), "-._")
	}
	return name
}
