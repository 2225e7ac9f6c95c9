package cli

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
)

// A prompt asks for readings row by row and gives them back as --read takes
// them, "ROW:FIGURES".
type prompt struct {
	Title string   // what is asked for, and how it is written
	Rows  []string // what is expected, in the order in which it is shown
	// Check refuses a reading; the row is then asked for again.
	Check func(read string) error
}

const promptHelp = `An empty line leaves a row as it is, "back" goes one row back, "end" ends. A
line such as "ROW:FIGURES" is a reading of another row. Ctrl-C leaves, and
nothing is recorded.`

// ask runs the prompt on the terminal. The answers come in the order of the
// rows, those of other rows after them. ctx ends it at once: a line that is
// being typed is dropped.
func (p *prompt) ask(ctx context.Context, s *Streams) ([]string, error) {
	if s.In == nil || !s.InTerminal {
		return nil, usagef("there are no readings: give them with --read, as a table with --from FILE.csv (- for standard input), or start the command on a terminal and be asked for them")
	}
	fmt.Fprintf(s.Err, "%s\n%s\n\n", p.Title, promptHelp)
	lines, failed := linesOf(ctx, s.In)
	answers := map[string]string{}
	var others []string
	for i := 0; i < len(p.Rows); {
		row := p.Rows[i]
		was := ""
		if a, ok := answers[row]; ok {
			was = " [" + a + "]"
		}
		fmt.Fprintf(s.Err, "%2d of %d  %s%s: ", i+1, len(p.Rows), row, was)
		var line string
		var ok bool
		select {
		case <-ctx.Done():
		case line, ok = <-lines:
		}
		if ctx.Err() != nil {
			fmt.Fprintln(s.Err)
			return nil, fmt.Errorf("interrupted; nothing was recorded")
		}
		if !ok { // end of the input
			fmt.Fprintln(s.Err)
			if err := <-failed; err != nil {
				return nil, fmt.Errorf("the terminal: %w; nothing was recorded", err)
			}
			break
		}
		line = strings.TrimSpace(line)
		switch strings.ToLower(line) {
		case "end":
			i = len(p.Rows)
			continue
		case "back":
			i = max(0, i-1)
			continue
		case "":
			i++
			continue
		}
		read := row + ":" + line
		other := strings.Contains(line, ":")
		if other {
			read = line
			row = strings.TrimSpace(line[:strings.Index(line, ":")])
		}
		if err := p.Check(read); err != nil {
			fmt.Fprintf(s.Err, "  not taken: %v\n", err)
			continue
		}
		if _, known := answers[row]; !known && other && !slices.Contains(p.Rows, row) {
			others = append(others, row)
		}
		answers[row] = strings.TrimSpace(read[strings.Index(read, ":")+1:])
		if !other {
			i++
		}
	}
	var list []string
	for _, row := range append(append([]string{}, p.Rows...), others...) {
		if a, ok := answers[row]; ok {
			list = append(list, row+":"+a)
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("nothing was read, and nothing recorded")
	}
	return list, nil
}

// linesOf reads lines beside the caller, who may be interrupted meanwhile.
func linesOf(ctx context.Context, r io.Reader) (<-chan string, <-chan error) {
	lines, failed := make(chan string), make(chan error, 1)
	go func() {
		defer close(lines)
		scan := bufio.NewScanner(r)
		for scan.Scan() {
			select {
			case lines <- scan.Text():
			case <-ctx.Done():
				failed <- nil
				return
			}
		}
		failed <- scan.Err()
	}()
	return lines, failed
}
