package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asked runs a prompt on what somebody types.
func asked(t *testing.T, typed string, rows ...string) (answers []string, shown string, err error) {
	t.Helper()
	var e bytes.Buffer
	p := &prompt{Title: "Grades.", Rows: rows, Check: func(read string) error {
		if strings.HasSuffix(read, ":bad") {
			return errors.New("bad is no grade")
		}
		return nil
	}}
	answers, err = p.ask(context.Background(), &Streams{In: strings.NewReader(typed), InTerminal: true, Err: &e})
	return answers, e.String(), err
}

func TestPrompt(t *testing.T) {
	for _, tt := range []struct {
		name, typed string
		want        []string
	}{
		{"all rows", "1\n2\n3\n", []string{"a:1", "b:2", "c:3"}},
		{"an empty line leaves a row out", "1\n\n3\n", []string{"a:1", "c:3"}},
		{"back reads a row again", "1\n2\nback\n4\n3\n", []string{"a:1", "b:4", "c:3"}},
		{"back stops at the first row", "back\nback\n1\n2\n3\n", []string{"a:1", "b:2", "c:3"}},
		{"back over a row that was left out", "1\n\nback\n2\n3\n", []string{"a:1", "b:2", "c:3"}},
		{"a row that is kept after back", "1\n2\nback\nback\n\n\n3\n", []string{"a:1", "b:2", "c:3"}},
		{"end", "1\nEND\n2\n", []string{"a:1"}},
		{"end of the input", "1\n2", []string{"a:1", "b:2"}},
		{"a reading that is refused", "bad\n1\nend\n", []string{"a:1"}},
		{"another row", "1\nz:9\n2\n3\n", []string{"a:1", "b:2", "c:3", "z:9"}},
		{"a row ahead of its turn", "c:7\n1\n2\n\n", []string{"a:1", "b:2", "c:7"}},
		{"another row twice counts once", "z:9\nz:8\nend\n", []string{"z:8"}},
		{"blanks around it", "  1 \r\nend\n", []string{"a:1"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, _, err := asked(t, tt.typed, "a", "b", "c")
			require.NoError(t, err)
			assert.Equal(t, tt.want, got)
		})
	}
}

func TestPromptShows(t *testing.T) {
	_, shown, err := asked(t, "5\nback\nbad\n\nend\n", "center", "top")
	require.NoError(t, err)
	assert.Contains(t, shown, "Grades.\nAn empty line leaves a row as it is, ")
	assert.Contains(t, shown, " 1 of 2  center: ")
	assert.Contains(t, shown, " 1 of 2  center [5]: ", "what was read already")
	assert.Contains(t, shown, "  not taken: bad is no grade\n")
}

func TestPromptRefuses(t *testing.T) {
	_, _, err := asked(t, "end\n", "a")
	assert.EqualError(t, err, "nothing was read, and nothing recorded")

	var usage *usageError
	_, err = (&prompt{Rows: []string{"a"}}).ask(context.Background(), &Streams{In: strings.NewReader("1\n"), Err: io.Discard})
	require.ErrorAs(t, err, &usage, "nobody is there to be asked")
	assert.Contains(t, err.Error(), "--from FILE.csv")
}

// TestPromptInterrupted: nothing of a half-read table is kept, and the prompt
// does not wait for the end of a line.
func TestPromptInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	r, w := io.Pipe()
	defer w.Close()
	go func() {
		_, _ = w.Write([]byte("1\n"))
		cancel()
	}()
	p := &prompt{Rows: []string{"a", "b"}, Check: func(string) error { return nil }}
	got, err := p.ask(ctx, &Streams{In: r, InTerminal: true, Err: io.Discard})
	assert.EqualError(t, err, "interrupted; nothing was recorded")
	assert.Nil(t, got)
}
