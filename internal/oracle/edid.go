package oracle

import (
	"bytes"
	"fmt"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// EDIDTiming is a detailed timing as edid-decode reads it.
type EDIDTiming struct {
	Width, Rows            int // rows of the frame
	Interlaced             bool
	Field, Line, Clock     float64 // Hz, kHz, MHz
	SizeH, SizeV           int     // mm
	HFront, HSync, HBack   int
	VFront, VSync, VBack   int    // of a field; half lines are in Halves
	HPositive, VPositive   bool   // polarity of the syncs
	Halves                 string // of an interlaced one, what edid-decode adds: "Vfront +0.5 Odd Field, Vback +0.5 Even Field"
	verticals, horizontals int    // lines that were read
}

// EDIDReport is what edid-decode says of an EDID: its text, the detailed timings
// in order, and its warnings without the block that they are about.
type EDIDReport struct {
	Text     string
	Timings  []EDIDTiming
	Warnings []string
}

// CheckEDID lets edid-decode judge an EDID. The test fails when it finds a
// failure; of warnings it is for the caller to say which are meant.
func CheckEDID(t testing.TB, edid []byte) EDIDReport {
	t.Helper()
	r, err := checkEDID(t, Need(t, "edid-decode"), edid)
	if err != nil {
		t.Fatalf("oracle: %v", err)
	}
	return r
}

func checkEDID(t testing.TB, path string, edid []byte) (r EDIDReport, err error) {
	cmd := exec.CommandContext(t.Context(), path, "--check", "--skip-hex-dump", "--skip-sha")
	cmd.Stdin = bytes.NewReader(edid)
	out, err := cmd.CombinedOutput()
	r.Text = string(out)
	// It ends with a verdict, and lists before that what it found.
	if err != nil || !strings.Contains(r.Text, "EDID conformity: PASS") || strings.Contains(r.Text, "Failures:") {
		return r, fmt.Errorf("edid-decode finds faults (%v):\n%s", err, r.Text)
	}
	if _, list, ok := strings.Cut(r.Text, "\nWarnings:\n"); ok {
		list, _, _ = strings.Cut(list, "\nEDID conformity:")
		for _, line := range strings.Split(list, "\n") {
			if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "Block ") {
				r.Warnings = append(r.Warnings, line)
			}
		}
		if len(r.Warnings) == 0 {
			return r, fmt.Errorf("edid-decode: warnings that are not understood:\n%s", r.Text)
		}
	}
	r.Timings, err = parseEDIDTimings(r.Text)
	return r, err
}

// parseEDIDTimings reads the lines of the detailed timings:
//
//	DTD 1:  1440x480i   59.940060 Hz   3:1     15.734 kHz     27.000000 MHz (400 mm x 300 mm)
//	             Hfront   38 Hsync 124 Hback  114 Hpol N
//	             Vfront    4 Vsync   3 Vback   15 Vpol N Vfront +0.5 Odd Field
func parseEDIDTimings(text string) (all []EDIDTiming, err error) {
	head := regexp.MustCompile(`^\s*DTD \d+:\s+(\d+)x(\d+)(i?)\s+([\d.]+) Hz\s+\d+:\d+\s+([\d.]+) kHz\s+([\d.]+) MHz \((\d+) mm x (\d+) mm\)$`)
	part := regexp.MustCompile(`^\s*([HV])front\s+(\d+) [HV]sync\s+(\d+) [HV]back\s+(\d+) [HV]pol ([PN])\s*(.*)$`)
	number := func(s string) int {
		n, e := strconv.Atoi(s)
		if e != nil && err == nil {
			err = fmt.Errorf("edid-decode: %w", e)
		}
		return n
	}
	for _, line := range strings.Split(text, "\n") {
		if m := head.FindStringSubmatch(line); m != nil {
			one := EDIDTiming{Width: number(m[1]), Rows: number(m[2]), Interlaced: m[3] == "i", SizeH: number(m[7]), SizeV: number(m[8])}
			for i, to := range []*float64{&one.Field, &one.Line, &one.Clock} {
				if *to, err = strconv.ParseFloat(m[4+i], 64); err != nil {
					return nil, fmt.Errorf("edid-decode: %q: %w", line, err)
				}
			}
			all = append(all, one)
			continue
		}
		m := part.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		if len(all) == 0 {
			return nil, fmt.Errorf("edid-decode: %q before any timing", line)
		}
		last, front, sync, back := &all[len(all)-1], number(m[2]), number(m[3]), number(m[4])
		if m[1] == "H" {
			last.HFront, last.HSync, last.HBack, last.HPositive = front, sync, back, m[5] == "P"
			last.horizontals++
			continue
		}
		if last.verticals++; last.verticals == 2 {
			last.Halves += ", "
		}
		last.VFront, last.VSync, last.VBack, last.VPositive = front, sync, back, m[5] == "P"
		last.Halves += strings.Join(strings.Fields(m[6]), " ")
	}
	for _, one := range all {
		if one.horizontals != 1 || one.verticals < 1 || one.verticals > 2 {
			return nil, fmt.Errorf("edid-decode: a timing of %dx%d without its porches:\n%s", one.Width, one.Rows, text)
		}
	}
	return all, err
}
