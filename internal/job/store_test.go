package job

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// benchA is the description of a set that every check accepts.
func benchA() Entry {
	return Entry{Kind: KindSet, Set: &Set{Label: "Bench A", Tube: ShadowMask, Guns: InLine, DiagonalMM: 480, Aspect: "4:3",
		Inputs: []Input{{"video-1", "composite"}, {"component-1", "component"}},
		Raster: "480i", Setup: "7.5", White: "d65", Primaries: "smpte-c", Class: Grade1}}
}

func note(text string) Entry { return Entry{Kind: KindNote, Text: text} }

// newBench is an empty workshop whose clock stands.
func newBench(t testing.TB) *Bench {
	at := time.Date(2026, 11, 25, 15, 2, 3, 999, time.FixedZone("", 3600))
	return &Bench{Dir: filepath.Join(t.TempDir(), "bench"), Now: func() time.Time { return at }}
}

func create(t testing.TB, b *Bench, name string) *Job {
	t.Helper()
	j, err := b.Create(t.Context(), name, benchA())
	require.NoError(t, err)
	return j
}

func add(t testing.TB, b *Bench, name string, e Entry) *Job {
	t.Helper()
	j, err := b.Append(t.Context(), name, always(e))
	require.NoError(t, err)
	return j
}

func always(e Entry) func(*Job) (Entry, error) { return func(*Job) (Entry, error) { return e, nil } }

func slurp(t testing.TB, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(b)
}

// put writes a file by hand.
func put(t testing.TB, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
}

func TestCreateFile(t *testing.T) {
	b := newBench(t)
	create(t, b, "bench-a")
	j := add(t, b, "bench-a", note("cleaned <pots> & \"switches\""))
	assert.Equal(t, `{
  "schema": "backporch/job/1",
  "entries": [
    {
      "id": 1,
      "time": "2026-11-25T14:02:03Z",
      "kind": "set",
      "set": {
        "label": "Bench A",
        "tube": "shadow-mask",
        "guns": "in-line",
        "diagonal_mm": 480,
        "aspect": "4:3",
        "inputs": [
          {
            "name": "video-1",
            "wire": "composite"
          },
          {
            "name": "component-1",
            "wire": "component"
          }
        ],
        "raster": "480i",
        "setup": "7.5",
        "target_white": "d65",
        "primaries": "smpte-c",
        "target_luminance_cd_m2": 0,
        "class": "grade-1"
      }
    },
    {
      "id": 2,
      "time": "2026-11-25T14:02:03Z",
      "kind": "note",
      "text": "cleaned <pots> & \"switches\""
    }
  ]
}
`, slurp(t, j.Path))
	assert.Equal(t, slurp(t, j.Path), slurp(t, j.Path+".good"))
	names, err := os.ReadDir(b.Dir)
	require.NoError(t, err)
	var have []string
	for _, n := range names {
		have = append(have, n.Name())
	}
	assert.Equal(t, []string{"bench-a.json", "bench-a.json.good", "bench-a.json.lock"}, have, "nothing unfinished stays")
}

func TestCreateRefuses(t *testing.T) {
	b := newBench(t)
	create(t, b, "bench-a")
	before := slurp(t, filepath.Join(b.Dir, "bench-a.json"))
	put(t, filepath.Join(b.Dir, "file"), "")
	require.NoError(t, os.Mkdir(filepath.Join(b.Dir, "folder.json"), 0o777))
	bad := benchA()
	bad.Set.Tube = "round"
	correcting := benchA()
	correcting.Corrects = 1
	for _, tt := range []struct {
		what, name string
		dir        string
		first      Entry
		want       string
	}{
		{"a name that is taken", "bench-a", b.Dir, benchA(), "there is a job bench-a already (" + filepath.Join(b.Dir, "bench-a.json") + "); choose another name, or go on with that one"},
		{"a folder", "folder", b.Dir, benchA(), filepath.Join(b.Dir, "folder.json") + " is a folder, and a job is a file; choose another name"},
		{"a file for a folder", "bench-b", filepath.Join(b.Dir, "file"), benchA(), "the folder " + filepath.Join(b.Dir, "file") + " cannot be made: not a directory; choose another one"},
		{"no set", "bench-b", b.Dir, note("words"), `job bench-b: the first entry must describe the set, and this is of the kind "note"`},
		{"a correction of nothing", "bench-b", b.Dir, correcting, "job bench-b: the first entry can correct nothing, and this corrects entry 1"},
		{"a set that is wrong", "bench-b", b.Dir, bad, `set.tube is "round"; give shadow-mask, aperture-grille or slot-mask`},
		{"a path", "../bench-b", b.Dir, benchA(), `the job's name "../bench-b" has '/' in it; a name has letters, digits, dots, hyphens and underscores, begins with a letter or a digit, and has no more than 64 characters, such as bench-a`},
	} {
		t.Run(tt.what, func(t *testing.T) {
			_, err := (&Bench{Dir: tt.dir}).Create(t.Context(), tt.name, tt.first)
			assert.EqualError(t, err, tt.want)
		})
	}
	assert.Equal(t, before, slurp(t, filepath.Join(b.Dir, "bench-a.json")))
	assert.NoFileExists(t, filepath.Join(b.Dir, "bench-b.json"))
	_, err := b.Create(t.Context(), "bench-a", benchA())
	assert.ErrorIs(t, err, fs.ErrExist)
}

func TestOpenMissing(t *testing.T) {
	b := newBench(t)
	_, err := b.Open("bench-a")
	assert.EqualError(t, err, "there is no job bench-a in "+b.Dir+", nor any other; start one with backporch job new, or give another folder with --bench")
	jobs, broken, err := b.List()
	require.NoError(t, err, "a folder that is not there yet has no jobs")
	assert.Empty(t, jobs)
	assert.Empty(t, broken)
	create(t, b, "bench-b")
	_, err = b.Open("bench-a")
	assert.EqualError(t, err, "there is no job bench-a in "+b.Dir+"; there is bench-b")
	assert.ErrorIs(t, err, fs.ErrNotExist)
	_, err = b.Append(t.Context(), "bench-a", always(note("x")))
	assert.ErrorIs(t, err, fs.ErrNotExist)
	assert.NoFileExists(t, filepath.Join(b.Dir, "bench-a.json.lock"), "no lock is made for a job that is not there")
}

func TestAppendNothing(t *testing.T) {
	b := newBench(t)
	j := create(t, b, "bench-a")
	before := slurp(t, j.Path)
	for _, tt := range []struct {
		what string
		make func(*Job) (Entry, error)
		want string
	}{
		{"an error of the caller", func(*Job) (Entry, error) { return Entry{}, errors.New("changed my mind") }, "changed my mind"},
		{"an invalid entry", always(note(" ")), "text is empty; give the words of the note"},
		{"an unknown kind", always(Entry{Kind: "photo"}), `kind is "photo"; give set, done, note, measure, step or limit`},
	} {
		t.Run(tt.what, func(t *testing.T) {
			_, err := b.Append(t.Context(), "bench-a", tt.make)
			assert.EqualError(t, err, tt.want)
			assert.Equal(t, before, slurp(t, j.Path))
		})
	}
	ctx, cancel := context.WithCancel(t.Context())
	_, err := b.Append(ctx, "bench-a", func(*Job) (Entry, error) { cancel(); return note("x"), nil })
	assert.EqualError(t, err, "interrupted before anything was written to "+j.Path+": context canceled")
	assert.Equal(t, before, slurp(t, j.Path))
}

func TestAppendSeesJob(t *testing.T) {
	b := newBench(t)
	create(t, b, "bench-a")
	j, err := b.Append(t.Context(), "bench-a", func(j *Job) (Entry, error) {
		return Entry{ID: 99, Time: time.Unix(0, 0), Kind: KindNote, Text: j.Set().Label}, nil
	})
	require.NoError(t, err)
	assert.Equal(t, "Bench A", j.Entries[1].Text)
	assert.Equal(t, 2, j.Entries[1].ID, "no caller chooses the id")
	assert.Equal(t, "2026-11-25T14:02:03Z", j.Entries[1].Time.Format(time.RFC3339Nano), "nor the time")
}

func TestAppendNoPermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write everywhere")
	}
	b := newBench(t)
	j := create(t, b, "bench-a")
	require.NoError(t, os.Chmod(b.Dir, 0o555))
	defer os.Chmod(b.Dir, 0o777)
	_, err := b.Append(t.Context(), "bench-a", always(note("x")))
	assert.EqualError(t, err, j.Path+": no permission to write in the folder "+b.Dir+"; the old file is unchanged; choose a folder that you may write in")
}

func TestAppendTooLarge(t *testing.T) {
	if testing.Short() {
		t.Skip("64 MB take seconds with the race detector")
	}
	b := newBench(t)
	j := create(t, b, "bench-a")
	whole := slurp(t, j.Path)
	padded := whole + strings.Repeat(" ", mostBytes-len(whole)) // blanks are valid
	put(t, j.Path, padded)
	_, err := b.Open("bench-a")
	require.NoError(t, err)
	_, err = b.Append(t.Context(), "bench-a", always(note("x")))
	assert.EqualError(t, err, j.Path+" would be larger than 64 MB; nothing was written; go on in a new job")
	put(t, j.Path, padded+" ")
	_, err = b.Open("bench-a")
	assert.EqualError(t, err, j.Path+" is larger than 64 MB, which no job is; is it another kind of file?")
}

// A job may be a link to a file elsewhere: what it points to is replaced, and
// the copy and the lock stand there, so that two folders with one job agree.
func TestSymlink(t *testing.T) {
	b := newBench(t)
	real := create(t, b, "bench-a")
	other := &Bench{Dir: t.TempDir(), Now: b.Now}
	if err := os.Symlink(real.Path, filepath.Join(other.Dir, "linked.json")); err != nil {
		t.Skip(err)
	}
	j := add(t, other, "linked", note("through the link"))
	info, err := os.Lstat(j.Path)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&fs.ModeSymlink, "it is still a link")
	again, err := b.Open("bench-a")
	require.NoError(t, err)
	assert.Len(t, again.Entries, 2)
	assert.NoFileExists(t, filepath.Join(other.Dir, "linked.json.good"))
	jobs, broken, err := other.List()
	require.NoError(t, err)
	assert.Len(t, jobs, 1)
	assert.Empty(t, broken)

	require.NoError(t, os.Remove(real.Path))
	_, err = other.Open("linked")
	assert.EqualError(t, err, j.Path+" is a symbolic link to "+real.Path+", which does not exist; remove the link or bring the file back")
}

func TestList(t *testing.T) {
	b := newBench(t)
	for _, name := range []string{"bench-b", "bench-a", "lost"} {
		create(t, b, name)
	}
	require.NoError(t, os.Remove(filepath.Join(b.Dir, "lost.json")))
	put(t, filepath.Join(b.Dir, "cut.json"), "{\n\"schema\"")
	put(t, filepath.Join(b.Dir, "capture.json"), `{"schema":"backporch/capture-device/1"}`)
	put(t, filepath.Join(b.Dir, "bench-a copy.json"), slurp(t, filepath.Join(b.Dir, "bench-a.json")))
	put(t, filepath.Join(b.Dir, "workshop.toml"), "")
	put(t, filepath.Join(b.Dir, ".bench-a.json.part"), "")
	put(t, filepath.Join(b.Dir, "old.json.damaged"), "")
	jobs, broken, err := b.List()
	require.NoError(t, err)
	var names, errs []string
	for _, j := range jobs {
		names = append(names, j.Name)
	}
	for _, e := range broken {
		errs = append(errs, strings.ReplaceAll(e.Error(), b.Dir, "BENCH"))
	}
	assert.Equal(t, []string{"bench-a", "bench-b"}, names)
	assert.Equal(t, []string{
		"BENCH/cut.json is damaged: line 2, column 9: the file ends in the middle: it was cut short; it is left as it is; there is no good copy beside it: mend the line in a text editor, or bring the file back from a backup",
		"the file of job lost is missing (BENCH/lost.json), but its last good copy has 1 entry, the last of 2026-11-25 14:02:03 UTC; bring it back: mv BENCH/lost.json.good BENCH/lost.json",
		`bench-a copy.json is not listed: the job's name "bench-a copy" has ' ' in it; a name has letters, digits, dots, hyphens and underscores, begins with a letter or a digit, and has no more than 64 characters, such as bench-a; rename the file`,
	}, errs)
	_, err = b.Open("capture")
	assert.EqualError(t, err, filepath.Join(b.Dir, "capture.json")+` is no job: line 1, column 11: the schema is "backporch/capture-device/1", and that of a job is "backporch/job/1"; give the name of another file`)
	_, err = b.Create(t.Context(), "lost", benchA())
	assert.ErrorContains(t, err, "bring it back: mv", "a job whose copy is there is not started anew")
}
