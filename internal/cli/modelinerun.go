package cli

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"backporch/internal/modeline"
	"backporch/internal/output"
)

func (o *modelineOptions) run(ctx context.Context) error {
	j, err := o.plan()
	if err != nil {
		return err
	}
	if o.JSON && o.CSV {
		return o.print(o.Streams, nil) // which refuses
	}
	if o.EDID == output.Stdout {
		switch {
		case o.JSON || o.CSV:
			return usagef("--edid - sends the EDID to standard output, and so --json and --csv have no place there; give it a file")
		case o.OutTerminal:
			return usagef("standard output is a terminal; name a file with --edid, or pipe the EDID into a program")
		}
	}
	if o.EDID != "" {
		b, err := j.Display.EDID()
		if err != nil {
			return &usageError{err: err}
		}
		err = output.File(ctx, o.EDID, o.Force, o.Out, func(w io.Writer) error {
			_, err := w.Write(b[:])
			return err
		})
		if err != nil {
			return &edidError{err}
		}
	}
	if o.EDID == output.Stdout {
		fmt.Fprintf(o.Err, "standard output: EDID of %q, %s, %d bytes\n", j.Display.Name, strings.Join(modeNames(j.Display), " and "), modeline.Size)
		fmt.Fprintln(o.Err, modeCaution)
		return nil
	}
	if !o.JSON && !o.CSV {
		if err := o.paste(j); err != nil {
			return err
		}
	}
	return o.print(o.Streams, o.record(j))
}

// edidError has the name of the flag that named the file: package output takes
// it to be -o.
type edidError struct{ err error }

func (e *edidError) Error() string {
	return strings.ReplaceAll(e.err.Error(), "with -o", "with --edid")
}

func (e *edidError) Unwrap() error { return e.err }

func modeNames(d *modeline.Display) (names []string) {
	for _, m := range d.Modes {
		names = append(names, m.Name())
	}
	return names
}

// paste prints the lines that are meant to be copied: never broken, and first.
func (o *modelineOptions) paste(j modelineJob) error {
	var b strings.Builder
	block := func(title string, lines ...string) {
		fmt.Fprintf(&b, "%s\n\n", title)
		for _, l := range lines {
			fmt.Fprintf(&b, "  %s\n", l)
		}
		b.WriteByte('\n')
	}
	block("X.Org configuration, section Monitor", j.Mode.Line(), fmt.Sprintf("Option \"PreferredMode\" %q", j.Mode.Name()))
	block("A running X server", j.Mode.XRandR(xOutput(j.Connector))...)
	if o.EDID != "" {
		block("Kernel, with the EDID", copyCommand(o.EDID), kernelOptions(j, o.EDID))
	}
	_, err := io.WriteString(o.Out, b.String())
	return err
}

// xOutput is the X server's name of a connector: without the letter that the
// kernel gives to the kind of HDMI plug (common practice).
func xOutput(connector string) string { return strings.Replace(connector, "HDMI-A-", "HDMI-", 1) }

// firmwareName is the name of an EDID below /lib/firmware/edid: the option of
// the kernel ends at a blank or a comma.
func firmwareName(path string) string {
	name := strings.Map(func(r rune) rune {
		if r > ' ' && r < 0x7f && !strings.ContainsRune(`,:"'\$`+"`", r) {
			return r
		}
		return '-'
	}, filepath.Base(path))
	if filepath.Ext(name) == "" {
		name += ".bin"
	}
	return name
}

func copyCommand(path string) string {
	quoted := path
	plain := func(r rune) bool {
		return strings.ContainsRune("/._-+", r) || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z'
	}
	if strings.ContainsFunc(path, func(r rune) bool { return !plain(r) }) {
		quoted = "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	return fmt.Sprintf("cp %s /lib/firmware/edid/%s", quoted, firmwareName(path))
}

// kernelOptions load the EDID and take the output as connected, which a set
// without a data channel does not say itself: e, or D where a plug has both
// kinds of link and the digital one is meant. Names of the options: memory.
func kernelOptions(j modelineJob, path string) string {
	force := "e"
	if j.Display.Input == modeline.Digital {
		force = "D"
	}
	return fmt.Sprintf("drm.edid_firmware=%s:edid/%s video=%s:%s", j.Connector, firmwareName(path), j.Connector, force)
}
