package deliver

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// Author is an installed dvdauthor, which makes the files of a DVD-Video disc
// of program streams.
type Author struct{ Path string }

// MissingAuthorError says that it is not installed.
type MissingAuthorError struct{ Err error }

func (e *MissingAuthorError) Error() string {
	return fmt.Sprintf("dvdauthor is needed to make a disc and cannot be run (%v); install dvdauthor, for example with apt-get install dvdauthor or brew install dvdauthor", e.Err)
}

// Unwrap returns the reason.
func (e *MissingAuthorError) Unwrap() error { return e.Err }

// FindAuthor looks for dvdauthor on the search path.
func FindAuthor() (*Author, error) {
	path, err := exec.LookPath("dvdauthor")
	if err != nil {
		return nil, &MissingAuthorError{err}
	}
	return &Author{path}, nil
}

// authored is what it said: its version, and what it warned of.
type authored struct {
	Version  string
	Warnings []string
}

// streamName is the program stream of a pattern in the folder of unfinished work.
func streamName(i int) string { return fmt.Sprintf("%03d.mpg", i+1) }

// control is what dvdauthor is told. The structure: one title that is one
// program chain, and in it a program, which is a chapter too, for each pattern,
// so that next and previous, and numbers, choose patterns. Each is one cell
// whose command plays its program again; a still is held by the player instead.
// First play, the title button and the menu button begin with the first. There
// are no other menus.
func (d *Disc) control() []byte {
	var b bytes.Buffer
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	video := fmt.Sprintf(`<video format="%s" aspect="4:3"/>`, d.standard())
	begin := func(entry string) {
		say(`<menus>%s<pgc entry="%s"><pre>jump title 1;</pre></pgc></menus>`, video, entry)
	}
	say(`<dvdauthor dest="disc" format="%s" provider="%s">`, d.standard(), discMaker)
	say(`<vmgm><fpc>jump title 1;</fpc>`)
	begin("title")
	say(`</vmgm>`)
	say(`<titleset>`)
	begin("root")
	say(`<titles>`)
	if d.Wide {
		// A player that is told of a 4:3 set may squeeze the picture, not crop it.
		say(`<video format="%s" aspect="16:9" resolution="%dx%d" widescreen="nopanscan"/>`, d.standard(), d.Raster.Width, len(d.Raster.Lines))
	} else {
		say(`<video format="%s" aspect="4:3" resolution="%dx%d"/>`, d.standard(), d.Raster.Width, len(d.Raster.Lines))
	}
	if d.Audio != NoAudio {
		say(`<audio format="ac3" channels="%d"/>`, soundChannels)
	}
	say(`<pgc>`)
	for i := range d.Jobs {
		if d.Still {
			say(`<vob file="%s"><cell start="0" chapter="1" pause="inf"/></vob>`, streamName(i))
		} else {
			say(`<vob file="%s"><cell start="0" chapter="1">jump program %d;</cell></vob>`, streamName(i), i+1)
		}
	}
	say(`</pgc></titles></titleset></dvdauthor>`)
	return b.Bytes()
}

// standard is what dvdauthor calls the system.
func (d *Disc) standard() string {
	if d.Raster.Scan.System.Lines() == 625 {
		return "pal"
	}
	return "ntsc"
}

// run makes the folder disc/VIDEO_TS in work, where the streams are.
func (a *Author) run(ctx context.Context, work string, d *Disc) (*authored, error) {
	const control = "disc.xml"
	if err := os.WriteFile(filepath.Join(work, control), d.control(), 0o666); err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, a.Path, "-x", control)
	cmd.WaitDelay = 2 * time.Second
	cmd.Dir = work
	cmd.Env = append(os.Environ(), "VIDEO_FORMAT="+strings.ToUpper(d.standard()), "LC_ALL=C")
	out, err := cmd.CombinedOutput()
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	said, complaints := &authored{}, []string(nil)
	for line := range strings.FieldsFuncSeq(string(out), func(r rune) bool { return r == '\n' || r == '\r' }) {
		line = strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "DVDAuthor::dvdauthor, version "):
			said.Version = strings.TrimSuffix(strings.TrimPrefix(line, "DVDAuthor::dvdauthor, version "), ".")
		case strings.HasPrefix(line, "WARN:"):
			said.Warnings = append(said.Warnings, strings.TrimSpace(strings.TrimPrefix(line, "WARN:")))
		case strings.HasPrefix(line, "ERR:"):
			complaints = append(complaints, strings.TrimSpace(strings.TrimPrefix(line, "ERR:")))
		}
	}
	switch {
	case errors.Is(err, exec.ErrNotFound) || errors.Is(err, os.ErrPermission):
		return nil, &MissingAuthorError{err}
	case err != nil:
		return nil, &AuthorError{strings.Join(complaints[max(0, len(complaints)-3):], "; "), err}
	}
	return said, nil
}

// AuthorError says why dvdauthor failed.
type AuthorError struct {
	Said string
	Err  error
}

func (e *AuthorError) Error() string {
	if e.Said == "" {
		return fmt.Sprintf("dvdauthor failed: %v", e.Err)
	}
	return fmt.Sprintf("dvdauthor failed (%v): %s", e.Err, e.Said)
}

// Full reports whether dvdauthor stopped because no space was left. Of a write
// that was cut short it says that there was no error.
func (e *AuthorError) Full() bool {
	return strings.Contains(e.Said, "No space left") || strings.Contains(e.Said, "Success -- writing data")
}

// Unwrap returns how the process ended.
func (e *AuthorError) Unwrap() error { return e.Err }
