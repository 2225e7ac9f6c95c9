package cli

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// Version is the program's own; builds of a tagged module say so themselves.
const Version = "0.1.0"

// version returns the version, with the revision that it was built from where
// that is known.
func version() string {
	v := Version
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				v += " (" + s.Value[:12] + ")"
			}
		}
	}
	return v
}

func newVersion(s *Streams) *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print the program's version",
		Long:    "Print the program's version and the revision it was built from, where that is known.",
		Example: "  backporch version",
		GroupID: "know",
		Args:    exactly(0, ""),
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintf(s.Out, "backporch %s\n", version())
			return err
		},
	}
}
