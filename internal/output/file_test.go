//go:build unix

package output

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// text returns a writer of content that writes s.
func text(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

// never fails the test if the content is asked for.
func never(t *testing.T) func(io.Writer) error {
	return func(io.Writer) error {
		t.Error("the content was computed although the target must be refused first")
		return nil
	}
}

// holds checks that dir holds exactly these names, hidden ones included.
func holds(t *testing.T, dir string, names ...string) {
	t.Helper()
	got := []string{}
	require.NoError(t, filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err == nil && p != dir && !d.IsDir() {
			rel, _ := filepath.Rel(dir, p)
			got = append(got, filepath.ToSlash(rel))
		}
		if err == nil && d.IsDir() && strings.HasPrefix(d.Name(), tempPrefix) {
			got = append(got, d.Name())
		}
		return err
	}))
	assert.ElementsMatch(t, names, got, "files in the folder")
}

// contains checks a file's content.
func contains(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, want, string(got), path)
}

func put(t *testing.T, path, s string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.WriteFile(path, []byte(s), 0o666))
}

func TestFileNew(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bars.y4m")
	err := File(t.Context(), path, false, nil, func(w io.Writer) error {
		_, err := io.WriteString(w, "half ")
		require.NoError(t, err)
		_, err = os.Lstat(path)
		assert.ErrorIs(t, err, fs.ErrNotExist, "the name must not exist while the file is incomplete")
		return text("whole")(w)
	})
	require.NoError(t, err)
	contains(t, path, "half whole")
	holds(t, dir, "bars.y4m")
}

func TestFileMode(t *testing.T) {
	dir := t.TempDir()
	// What the system itself gives a new file of mode 0666 under this umask.
	want := filepath.Join(dir, "want")
	f, err := os.OpenFile(want, os.O_CREATE|os.O_WRONLY, 0o666)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	got := filepath.Join(dir, "got")
	require.NoError(t, File(t.Context(), got, false, nil, text("x")))
	wi, err := os.Stat(want)
	require.NoError(t, err)
	gi, err := os.Stat(got)
	require.NoError(t, err)
	assert.Equal(t, wi.Mode(), gi.Mode())
}

func TestFileLongName(t *testing.T) {
	// 255 bytes is NAME_MAX of the usual file systems (limits.h); the hidden
	// name must not be longer than the final one may be.
	path := filepath.Join(t.TempDir(), strings.Repeat("n", 255))
	require.NoError(t, File(t.Context(), path, false, nil, text("x")))
	contains(t, path, "x")
}

func TestFileExisting(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.png")
	put(t, path, "old")
	err := File(t.Context(), path, false, nil, never(t))
	var exists *ExistsError
	require.ErrorAs(t, err, &exists)
	assert.EqualError(t, err, path+" already exists; use --force to overwrite it")
	assert.ErrorIs(t, err, fs.ErrExist)
	assert.ErrorIs(t, Check(path, false), fs.ErrExist)
	assert.NoError(t, Check(path, true))
	contains(t, path, "old")

	require.NoError(t, File(t.Context(), path, true, nil, text("new")))
	contains(t, path, "new")
	holds(t, dir, "out.png")
}

func TestFileAppearsMeanwhile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.png")
	err := File(t.Context(), path, false, nil, func(w io.Writer) error {
		put(t, path, "somebody else's")
		return text("ours")(w)
	})
	var exists *ExistsError
	require.ErrorAs(t, err, &exists)
	contains(t, path, "somebody else's")
	holds(t, dir, "out.png")
}

func TestPlaceNewWithoutHardLinks(t *testing.T) {
	noLinks := func(_, _ string) error { return syscall.EPERM } // link(2) on FAT
	for _, there := range []bool{false, true} {
		t.Run(fmt.Sprintf("target exists %t", there), func(t *testing.T) {
			dir := t.TempDir()
			root, err := os.OpenRoot(dir)
			require.NoError(t, err)
			defer root.Close()
			put(t, filepath.Join(dir, "from"), "ours")
			if there {
				put(t, filepath.Join(dir, "to"), "somebody else's")
			}
			err = placeNew(root, noLinks, "from", "to")
			if there {
				require.ErrorIs(t, err, fs.ErrExist)
				contains(t, filepath.Join(dir, "to"), "somebody else's")
				return
			}
			require.NoError(t, err)
			contains(t, filepath.Join(dir, "to"), "ours")
			holds(t, dir, "to")
		})
	}
}

func TestPlaceNewRenameFails(t *testing.T) {
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	defer root.Close()
	err = placeNew(root, func(_, _ string) error { return syscall.EPERM }, "missing", "to")
	require.Error(t, err)
	holds(t, dir) // the empty file that held the name is gone again
}

func TestFileContentFails(t *testing.T) {
	own := errors.New("bars: no such set")
	for _, force := range []bool{false, true} {
		t.Run(fmt.Sprintf("force %t", force), func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "out.png")
			names := []string{}
			if force {
				put(t, path, "old")
				names = append(names, "out.png")
			}
			err := File(t.Context(), path, force, nil, func(w io.Writer) error {
				_ = text("some")(w)
				return own
			})
			assert.Same(t, own, err, "an error of the content is passed on as it is")
			holds(t, dir, names...)
			if force {
				contains(t, path, "old")
			}
		})
	}
}

func TestFileContentPanics(t *testing.T) {
	dir := t.TempDir()
	assert.Panics(t, func() {
		_ = File(t.Context(), filepath.Join(dir, "out"), false, nil, func(io.Writer) error { panic("bug") })
	})
	holds(t, dir)
}

// full takes n bytes and then says what a full disk says.
type full struct {
	w   io.Writer
	n   int
	err error
}

func (f *full) Write(p []byte) (int, error) {
	if len(p) > f.n {
		n, _ := f.w.Write(p[:f.n])
		f.n = 0
		return n, &fs.PathError{Op: "write", Path: ".backporch-hidden.part", Err: f.err}
	}
	f.n -= len(p)
	return f.w.Write(p)
}

func TestFileWriteFails(t *testing.T) {
	for _, tt := range []struct {
		name    string
		old     bool
		swallow bool // the content's writer ignores the error
		err     error
		want    string // after the path
	}{
		{"full, new", false, false, syscall.ENOSPC,
			": the disk is full; nothing was left under that name; free some space or choose another place with -o"},
		{"full, old", true, false, syscall.ENOSPC,
			": the disk is full; the old file is unchanged; free some space or choose another place with -o"},
		{"over quota", false, false, syscall.EDQUOT,
			": the disk is full; nothing was left under that name; free some space or choose another place with -o"},
		{"swallowed", false, true, syscall.ENOSPC,
			": the disk is full; nothing was left under that name; free some space or choose another place with -o"},
		{"medium error", false, false, syscall.EIO,
			": input/output error; nothing was left under that name"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "out.y4m")
			names := []string{}
			if tt.old {
				put(t, path, "old")
				names = append(names, "out.y4m")
			}
			m := maker{wrap: func(w io.Writer) io.Writer { return &full{w, 6, tt.err} }}
			err := m.file(t.Context(), path, tt.old, nil, func(w io.Writer) error {
				_, err := w.Write([]byte("1234"))
				require.NoError(t, err)
				_, err = w.Write([]byte("5678"))
				require.ErrorIs(t, err, tt.err)
				_, err = w.Write([]byte("9"))
				require.ErrorIs(t, err, tt.err, "the first error stays")
				if tt.swallow {
					return nil
				}
				return fmt.Errorf("y4m: %w", err)
			})
			var we *WriteError
			require.ErrorAs(t, err, &we)
			assert.ErrorIs(t, err, tt.err)
			assert.EqualError(t, err, path+tt.want)
			holds(t, dir, names...)
			if tt.old {
				contains(t, path, "old")
			}
		})
	}
}

func TestFileCanceled(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.y4m")
	for _, tt := range []struct {
		name string
		when func(cancel func(), w io.Writer) error
	}{
		{"between frames", func(cancel func(), w io.Writer) error {
			require.NoError(t, text("frame")(w))
			cancel()
			return text("frame")(w)
		}},
		{"after the last frame", func(cancel func(), w io.Writer) error {
			defer cancel()
			return text("frame")(w)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			ctx, cancel := context.WithCancelCause(t.Context())
			cause := errors.New("signal: interrupt")
			err := File(ctx, path, false, nil, func(w io.Writer) error {
				return tt.when(func() { cancel(cause) }, w)
			})
			var ie *InterruptedError
			require.ErrorAs(t, err, &ie)
			assert.ErrorIs(t, err, cause)
			assert.EqualError(t, err, "interrupted while writing "+path+"; nothing was left under that name")
			holds(t, dir)
		})
	}
	t.Run("before the start", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		err := File(ctx, path, false, nil, never(t))
		assert.ErrorIs(t, err, context.Canceled)
	})
	t.Run("old file", func(t *testing.T) {
		put(t, path, "old")
		ctx, cancel := context.WithCancel(t.Context())
		err := File(ctx, path, true, nil, func(w io.Writer) error { cancel(); return text("new")(w) })
		assert.EqualError(t, err, "interrupted while writing "+path+"; the old file is unchanged")
		contains(t, path, "old")
		holds(t, dir, "out.y4m")
	})
}

func TestFileTargetErrors(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "plain"), "x")
	require.NoError(t, os.Mkdir(filepath.Join(dir, "folder"), 0o777))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(dir, "dangling")))
	in := func(p string) string { return dir + "/" + p }
	for _, tt := range []struct{ name, path, want string }{
		{"empty", "", "the output has an empty name; give a file name with -o, or - for standard output"},
		{"a folder", in("folder"), in("folder") + " is a folder; give the name of a file in it with -o"},
		{"missing folder", in("no/such/out.png"), "the folder " + in("no/such") + " does not exist; create it or choose another place with -o"},
		{"missing folder, slash", in("new/"), in("new/") + " ends in a slash and names no file; give a file name with -o"},
		{"file as folder", in("plain/out.png"), in("plain") + " is not a folder; choose another place with -o"},
		{"file as folder above", in("plain/a/out.png"), in("plain/a") + " is not a folder; choose another place with -o"},
		{"link to nothing", in("dangling"), in("dangling") + " is a symbolic link to nowhere, which does not exist; remove the link or choose another name with -o"},
	} {
		for _, force := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, force %t", tt.name, force), func(t *testing.T) {
				err := File(t.Context(), tt.path, force, nil, never(t))
				var te *TargetError
				require.ErrorAs(t, err, &te)
				assert.EqualError(t, err, tt.want)
				assert.EqualError(t, Check(tt.path, force), tt.want)
			})
		}
	}
	holds(t, dir, "plain", "dangling")
}

func TestFileThroughLink(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "real/out.png"), "old")
	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink("real/out.png", link))
	assert.ErrorIs(t, File(t.Context(), link, false, nil, never(t)), fs.ErrExist)
	require.NoError(t, File(t.Context(), link, true, nil, text("new")))
	contains(t, filepath.Join(dir, "real/out.png"), "new")
	to, err := os.Readlink(link)
	require.NoError(t, err, "the link itself stays")
	assert.Equal(t, "real/out.png", to)
}

func TestFileNoPermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write everywhere")
	}
	dir := t.TempDir()
	require.NoError(t, os.Chmod(dir, 0o555))
	path := filepath.Join(dir, "out.png")
	err := File(t.Context(), path, false, nil, never(t))
	assert.ErrorIs(t, err, fs.ErrPermission)
	assert.EqualError(t, err, "no permission to write in the folder "+dir+"; choose another place with -o")
	_, err = NewFolder(t.Context(), filepath.Join(dir, "kit"), false, kit)
	assert.EqualError(t, err, "no permission to write in the folder "+dir+"; choose another place with -o")
}

func TestFileStdout(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, File(t.Context(), "-", false, &b, text("picture")))
	assert.Equal(t, "picture", b.String())
	assert.NoError(t, Check("-", false))

	err := File(t.Context(), "-", false, &full{&b, 3, syscall.ENOSPC}, text("picture"))
	assert.EqualError(t, err, "standard output: the disk is full; 3 bytes were sent before; free some space or choose another place with -o")
}
