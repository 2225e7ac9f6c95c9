package cli

import (
	"github.com/spf13/cobra"

	"backporch/internal/table"
)

// tableFlags choose the form of a table.
type tableFlags struct{ JSON, CSV bool }

func (t *tableFlags) add(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&t.JSON, "json", false, "print as JSON")
	cmd.Flags().BoolVar(&t.CSV, "csv", false, "print as CSV")
}

// print prints a document in the chosen form.
func (t *tableFlags) print(s *Streams, d table.Document) error {
	switch {
	case t.JSON && t.CSV:
		return usagef("--json and --csv both say how to print; give one of them")
	case t.JSON:
		return d.Write(s.Out, table.JSON, 0)
	case t.CSV:
		return d.Write(s.Out, table.CSV, 0)
	}
	return d.Write(s.Out, table.Text, s.width())
}
