//go:build unix

package output

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var kit = Manifest{Name: "kit.json", Schema: "backporch/kit/1"}

const emptyKit = `{"schema":"backporch/kit/1","files":[]}`

// makeKit makes a kit of ours whose files all hold content, with a manifest
// that lists them.
func makeKit(t *testing.T, dir string, force bool, content string, names ...string) error {
	t.Helper()
	s, err := NewFolder(t.Context(), dir, force, kit)
	if err != nil {
		return err
	}
	defer s.Abort()
	list := ""
	for i, name := range names {
		if err := s.WriteFile(name, []byte(content)); err != nil {
			return err
		}
		if i > 0 {
			list += ","
		}
		list += fmt.Sprintf(`{"name":%q,"sha256":"0"}`, name)
	}
	if err := s.WriteFile("kit.json", []byte(`{"schema":"backporch/kit/1","raster":"480i","files":[`+list+`]}`)); err != nil {
		return err
	}
	return s.Commit()
}

func TestFolderNew(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "kit")
	s, err := NewFolder(t.Context(), path+"/", false, kit) // as completion leaves it
	require.NoError(t, err)
	defer s.Abort()
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			w, err := s.Create(fmt.Sprintf("png/%d.png", i))
			if assert.NoError(t, err) {
				assert.NoError(t, text(fmt.Sprint(i))(w))
				assert.NoError(t, w.Close())
			}
		})
	}
	wg.Wait()
	require.NoError(t, s.WriteFile("kit.json", []byte(emptyKit)))
	_, err = os.Lstat(path)
	assert.ErrorIs(t, err, fs.ErrNotExist, "nothing appears before Commit")
	require.NoError(t, s.Commit())
	holds(t, dir, "kit/kit.json", "kit/png/0.png", "kit/png/1.png", "kit/png/2.png", "kit/png/3.png",
		"kit/png/4.png", "kit/png/5.png", "kit/png/6.png", "kit/png/7.png")
	contains(t, filepath.Join(path, "png/5.png"), "5")
	assert.Error(t, s.Commit(), "a set commits once")
	s.Abort()
	contains(t, filepath.Join(path, "png/5.png"), "5")

	plain := filepath.Join(dir, "plain")
	require.NoError(t, os.Mkdir(plain, 0o777))
	want, err := os.Stat(plain)
	require.NoError(t, err)
	got, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, want.Mode(), got.Mode(), "the folder has the mode that mkdir gives")
}

func TestFolderEmpty(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, tempPrefix+"1"+tempSuffix), 0o700)) // of a killed run
	require.NoError(t, makeKit(t, dir, false, "a", "x.png", "sub/y.png"))
	holds(t, dir, "kit.json", "x.png", "sub/y.png", tempPrefix+"1"+tempSuffix)
}

func TestFolderExisting(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	require.NoError(t, makeKit(t, dir, false, "old", "bars.png", "gone.png", "video/gone.y4m", "video/more/gone.y4m", "both/bars.y4m"))
	put(t, filepath.Join(dir, "notes.txt"), "mine")
	put(t, filepath.Join(dir, "both/notes.txt"), "mine")
	put(t, filepath.Join(dir, "theirs/bars.png"), "mine")

	err := makeKit(t, dir, false, "new", "bars.png")
	assert.EqualError(t, err, dir+" already exists; use --force to overwrite it")
	contains(t, filepath.Join(dir, "bars.png"), "old")

	require.NoError(t, makeKit(t, dir, true, "new", "bars.png", "extra.png"))
	holds(t, dir, "kit.json", "bars.png", "extra.png", "notes.txt", "both/notes.txt", "theirs/bars.png")
	contains(t, filepath.Join(dir, "bars.png"), "new")
	contains(t, filepath.Join(dir, "notes.txt"), "mine")
	contains(t, filepath.Join(dir, "theirs/bars.png"), "mine")
	assert.NoDirExists(t, filepath.Join(dir, "video"), "a folder that held only our files goes with them")

	err = makeKit(t, dir, true, "newer", "bars.png", "notes.txt")
	assert.EqualError(t, err, filepath.Join(dir, "notes.txt")+" is there and not listed in "+dir+
		"/kit.json, so it is kept; move it away or choose another folder with -o")
	contains(t, filepath.Join(dir, "notes.txt"), "mine")
	contains(t, filepath.Join(dir, "bars.png"), "new")
	holds(t, dir, "kit.json", "bars.png", "extra.png", "notes.txt", "both/notes.txt", "theirs/bars.png")
}

func TestFolderNotOurs(t *testing.T) {
	outside := t.TempDir()
	put(t, filepath.Join(outside, "precious"), "mine")
	for _, tt := range []struct {
		name  string
		files map[string]string
		want  string // with %s for the folder
	}{
		{"no manifest", map[string]string{"holiday.jpg": "x"},
			"%[1]s holds other files (holiday.jpg) and no kit.json, so it is not replaced, even with --force; choose another folder with -o"},
		{"not JSON", map[string]string{"kit.json": "kit"},
			"%[1]s/kit.json does not say which files may be replaced: it cannot be read as JSON: invalid character 'k' looking for beginning of value; remove the folder yourself or choose another one with -o"},
		{"another schema", map[string]string{"kit.json": `{"schema":"backporch/readings/1"}`},
			`%[1]s/kit.json does not say which files may be replaced: its schema is "backporch/readings/1", not "backporch/kit/1"; remove the folder yourself or choose another one with -o`},
		{"upward", map[string]string{"kit.json": `{"schema":"backporch/kit/1","files":[{"name":"../precious"}]}`},
			`%[1]s/kit.json does not say which files may be replaced: it lists "../precious", which is not the name of a file inside the folder; remove the folder yourself or choose another one with -o`},
		{"upward inside", map[string]string{"kit.json": `{"schema":"backporch/kit/1","files":[{"name":"a/../../precious"}]}`},
			`%[1]s/kit.json does not say which files may be replaced: it lists "a/../../precious", which is not the name of a file inside the folder; remove the folder yourself or choose another one with -o`},
		{"absolute", map[string]string{"kit.json": `{"schema":"backporch/kit/1","files":[{"name":"/etc/passwd"}]}`},
			`%[1]s/kit.json does not say which files may be replaced: it lists "/etc/passwd", which is not the name of a file inside the folder; remove the folder yourself or choose another one with -o`},
		{"itself", map[string]string{"kit.json": `{"schema":"backporch/kit/1","files":[{"name":"."}]}`},
			`%[1]s/kit.json does not say which files may be replaced: it lists ".", which is not the name of a file inside the folder; remove the folder yourself or choose another one with -o`},
		{"a folder", map[string]string{"kit.json": `{"schema":"backporch/kit/1","files":[{"name":"sub"}]}`, "sub/x": "mine"},
			`%[1]s/kit.json does not say which files may be replaced: it lists "sub", which is a folder; remove the folder yourself or choose another one with -o`},
		{"through a link", map[string]string{"kit.json": `{"schema":"backporch/kit/1","files":[{"name":"out/precious"}]}`},
			`%[1]s/kit.json does not say which files may be replaced: it lists "out/precious": path escapes from parent; remove the folder yourself or choose another one with -o`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "kit")
			names := []string{}
			for name, s := range tt.files {
				put(t, filepath.Join(dir, name), s)
				names = append(names, name)
			}
			if tt.name == "through a link" {
				require.NoError(t, os.Symlink(outside, filepath.Join(dir, "out")))
				names = append(names, "out")
			}
			s, err := NewFolder(t.Context(), dir, true, kit)
			require.Nil(t, s)
			var te *TargetError
			require.ErrorAs(t, err, &te)
			assert.EqualError(t, err, fmt.Sprintf(tt.want, dir))
			holds(t, dir, names...)
			contains(t, filepath.Join(outside, "precious"), "mine")
		})
	}
}

func TestFolderTargetErrors(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "plain"), "x")
	require.NoError(t, os.Symlink("nowhere", filepath.Join(dir, "dangling")))
	for _, tt := range []struct{ name, path, want string }{
		{"empty", "", "the output folder has an empty name; give a folder with -o"},
		{"a file", dir + "/plain", dir + "/plain is not a folder; choose another folder with -o"},
		{"in a file", dir + "/plain/kit", dir + "/plain/kit is not a folder; choose another folder with -o"},
		{"missing parent", dir + "/no/kit", "the folder " + dir + "/no does not exist; create it or choose another place with -o"},
		{"link to nothing", dir + "/dangling", dir + "/dangling is a symbolic link to nowhere, which does not exist; remove the link or choose another folder with -o"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := NewFolder(t.Context(), tt.path, true, kit)
			assert.EqualError(t, err, tt.want)
		})
	}
	holds(t, dir, "plain", "dangling")
}

func TestFolderAppearsMeanwhile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "kit")
	s, err := NewFolder(t.Context(), path, false, kit)
	require.NoError(t, err)
	defer s.Abort()
	require.NoError(t, s.WriteFile("kit.json", []byte(emptyKit)))
	put(t, filepath.Join(path, "other.txt"), "somebody else's")
	assert.EqualError(t, s.Commit(), path+" already exists; use --force to overwrite it")
	holds(t, dir, "kit/other.txt")
}

// A commit that fails at the second file must put back the first, the old
// ones, and leave no new folder.
func TestFolderRollsBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	require.NoError(t, makeKit(t, dir, false, "old", "a.png", "z.png"))
	before, err := os.ReadFile(filepath.Join(dir, "kit.json"))
	require.NoError(t, err)
	s, err := NewFolder(t.Context(), dir, true, kit)
	require.NoError(t, err)
	defer s.Abort()
	for _, name := range []string{"a.png", "b/c/b.png", "m.png", "kit.json"} {
		require.NoError(t, s.WriteFile(name, []byte("new")))
	}
	put(t, filepath.Join(dir, "m.png"), "somebody else's")
	err = s.Commit()
	require.Error(t, err)
	assert.Contains(t, err.Error(), "m.png is there and not listed in")
	holds(t, dir, "a.png", "z.png", "m.png", "kit.json")
	contains(t, filepath.Join(dir, "a.png"), "old")
	contains(t, filepath.Join(dir, "z.png"), "old")
	contains(t, filepath.Join(dir, "m.png"), "somebody else's")
	contains(t, filepath.Join(dir, "kit.json"), string(before))
	assert.NoDirExists(t, filepath.Join(dir, "b"))
}

func TestSetRefuses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	s, err := NewFolder(t.Context(), dir, false, kit)
	require.NoError(t, err)
	defer s.Abort()
	for _, name := range []string{"", ".", "..", "../x", "/x", "a/../../x"} {
		_, err := s.Create(name)
		assert.EqualError(t, err, fmt.Sprintf("%q is not the name of a file inside the folder", name))
	}
	w, err := s.Create("a.png")
	require.NoError(t, err)
	_, err = s.Create("./a.png")
	assert.EqualError(t, err, dir+"/a.png is in the set already")
	_, err = s.Create("a.png/b")
	assert.Error(t, err, "a file is no folder")
	assert.EqualError(t, s.Commit(), dir+"/a.png is still being written; nothing was left under the name "+dir)
	assert.NoError(t, w.Close(), "closing late is harmless")
	_, err = s.Create("late.png")
	assert.EqualError(t, err, dir+" is finished; late.png cannot be added")

	s, err = NewFolder(t.Context(), dir, false, kit)
	require.NoError(t, err)
	require.NoError(t, s.WriteFile("a.png", nil))
	assert.EqualError(t, s.Commit(), dir+" has no kit.json; nothing was left under the name "+dir)
	holds(t, filepath.Dir(dir))
}

func TestSetAbort(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	s, err := NewFolder(t.Context(), dir, false, kit)
	require.NoError(t, err)
	_, err = s.Create("open.png")
	require.NoError(t, err)
	s.Abort()
	s.Abort()
	holds(t, filepath.Dir(dir))
	assert.Error(t, s.Commit())
}

func TestSetCanceled(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	ctx, cancel := context.WithCancel(t.Context())
	s, err := NewFolder(ctx, dir, false, kit)
	require.NoError(t, err)
	defer s.Abort()
	w, err := s.Create("a.y4m")
	require.NoError(t, err)
	require.NoError(t, text("frame")(w))
	cancel()
	want := "interrupted while writing " + dir + "; nothing was left under the name " + dir
	assert.EqualError(t, text("frame")(w), want)
	_, err = s.Create("b.y4m")
	assert.EqualError(t, err, want)
	err = s.Commit()
	assert.EqualError(t, err, want)
	assert.ErrorIs(t, err, context.Canceled)
	holds(t, filepath.Dir(dir))
	_, err = NewFolder(ctx, dir, false, kit)
	assert.ErrorIs(t, err, context.Canceled)
	holds(t, filepath.Dir(dir))
}

func TestSetWriteFails(t *testing.T) {
	for _, old := range []bool{false, true} {
		t.Run(fmt.Sprintf("old %t", old), func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "kit")
			left := "nothing was left under the name " + dir
			names := []string{}
			if old {
				require.NoError(t, makeKit(t, dir, false, "old", "a.y4m"))
				left = "nothing was changed in " + dir
				names = append(names, "kit/a.y4m", "kit/kit.json")
			}
			s, err := NewFolder(t.Context(), dir, true, kit)
			require.NoError(t, err)
			defer s.Abort()
			w, err := s.Create("a.y4m")
			require.NoError(t, err)
			sf := w.(*setFile)
			sf.sink.w = &full{sf.f, 3, syscall.ENOSPC}
			_, _ = w.Write([]byte("frame")) // the error is lost here ...
			_ = w.Close()
			require.NoError(t, s.WriteFile("kit.json", []byte(emptyKit)))
			err = s.Commit() // ... and not here
			assert.ErrorIs(t, err, syscall.ENOSPC)
			assert.EqualError(t, err, dir+"/a.y4m: the disk is full; "+left+"; free some space or choose another place with -o")
			holds(t, filepath.Dir(dir), names...)
		})
	}
}

func TestFiles(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "notes.txt"), "mine")
	make := func(force bool, content string) error {
		s, err := NewFiles(t.Context(), dir, force, "x.wav", "x.json")
		if err != nil {
			return err
		}
		defer s.Abort()
		return errors.Join(s.WriteFile("x.wav", []byte(content)), s.WriteFile("x.json", []byte(content)), s.Commit())
	}
	require.NoError(t, make(false, "1"))
	holds(t, dir, "notes.txt", "x.wav", "x.json")
	assert.EqualError(t, make(false, "2"), dir+"/x.wav already exists; use --force to overwrite it")
	contains(t, filepath.Join(dir, "x.wav"), "1")
	require.NoError(t, make(true, "3"))
	contains(t, filepath.Join(dir, "x.wav"), "3")
	contains(t, filepath.Join(dir, "x.json"), "3")
	require.NoError(t, os.Remove(filepath.Join(dir, "x.wav")))
	assert.EqualError(t, make(false, "4"), dir+"/x.json already exists; use --force to overwrite it")
	holds(t, dir, "notes.txt", "x.json")
	require.NoError(t, make(true, "5"))
	holds(t, dir, "notes.txt", "x.wav", "x.json")
}

func TestFilesAppearMeanwhile(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "a.bin"), "old")
	s, err := NewFiles(t.Context(), dir, true, "a.bin", "b.h")
	require.NoError(t, err)
	require.NoError(t, s.WriteFile("a.bin", []byte("new")))
	require.NoError(t, s.WriteFile("b.h", []byte("new")))
	put(t, filepath.Join(dir, "b.h"), "somebody else's")
	assert.EqualError(t, s.Commit(), dir+"/b.h already exists; use --force to overwrite it")
	contains(t, filepath.Join(dir, "a.bin"), "old")
	contains(t, filepath.Join(dir, "b.h"), "somebody else's")
	holds(t, dir, "a.bin", "b.h")
}

func TestFilesRefused(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "sub/x"), "x")
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "fifo"), 0o666))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(dir, "dangling")))
	for _, tt := range []struct{ name, dir, file, want string }{
		{"a folder", dir, "sub", dir + "/sub is a folder; choose another name with -o"},
		{"a FIFO", dir, "fifo", dir + "/fifo is not a regular file, and several files that belong together cannot be sent there; choose another name with -o"},
		{"twice", dir, "a", dir + "/a is named twice"},
		{"upward", dir, "../a", `"../a" is not the name of a file inside the folder`},
		{"link to nothing", dir, "dangling", dir + "/dangling is a symbolic link to nothing; remove the link or choose another name with -o"},
		{"no folder", dir + "/no", "x", "the folder " + dir + "/no does not exist; create it or choose another place with -o"},
		{"no inner folder", dir, "no/x", "the folder " + dir + "/no does not exist; create it or choose another place with -o"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := NewFiles(t.Context(), tt.dir, false, "a", tt.file)
			assert.EqualError(t, err, tt.want)
		})
	}
	s, err := NewFiles(t.Context(), dir, false, "a", "b")
	require.NoError(t, err)
	_, err = s.Create("c")
	assert.EqualError(t, err, dir+"/c was not announced for this set")
	require.NoError(t, s.WriteFile("a", nil))
	assert.EqualError(t, s.Commit(), dir+"/b was announced but not made; nothing was changed under the names a and b")
	holds(t, dir, "sub/x", "fifo", "dangling")
}

func FuzzManifest(f *testing.F) {
	f.Add([]byte(emptyKit))
	f.Add([]byte(`{"schema":"backporch/kit/1","files":[{"name":"a/b.png"},{"name":"../x"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		names, err := kit.parse(data)
		if err != nil {
			return
		}
		for name := range names {
			if !filepath.IsLocal(name) || filepath.Clean(name) != name || name == "." {
				t.Fatalf("accepted the name %q", name)
			}
		}
	})
}

var _ io.WriteCloser = (*setFile)(nil)
