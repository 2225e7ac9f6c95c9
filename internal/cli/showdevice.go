package cli

import (
	"io"
	"strings"

	"backporch/internal/device"
	"backporch/pattern"
)

// showDevice prints a device, and what it makes of a pattern.
func (o *showOptions) showDevice() error {
	words := o.Words[1:]
	if o.Template {
		if len(words) > 0 {
			return usagef("--template prints a profile to begin with; %q is one word too many", words[0])
		}
		_, err := io.WriteString(o.Out, device.Template())
		return err
	}
	switch {
	case len(words) == 0 && o.Device == "":
		return usagef("show device: NAME is missing; `backporch list devices` names them all, and FILE.toml is a profile of your own")
	case o.Device == "":
		if o.Device, words = strings.TrimSpace(words[0]), words[1:]; o.Device == "" {
			return usagef("show device: NAME is empty; `backporch list devices` names them all")
		}
		// Changes of a device stand before the pattern: bits=333 colors=64.
		for len(words) > 0 && strings.Contains(words[0], "=") {
			o.Device += " " + words[0]
			words = words[1:]
		}
	}
	if len(words) == 0 {
		words = []string{"bars-full"}
	}
	spec := strings.Join(words, " ")
	p, err := pattern.Parse(spec)
	if err != nil {
		return &usageError{err: err}
	}
	pic, err := o.resolve(p)
	if err != nil {
		return err
	}
	job, err := pic.layout(p, spec, nil)
	if err != nil {
		return err
	}
	rec := deviceRecord(pic.Device)
	tables, notes, err := honestyTables(job, spec)
	if err != nil {
		return &usageError{err: err}
	}
	rec.Tables, rec.Notes = append(rec.Tables, tables...), append(rec.Notes, notes...)
	if !isFile(o.Device) {
		rec.Tables = append(rec.Tables, changeTable(pic.Device))
	}
	if o.CSV && !o.JSON {
		return o.print(o.Streams, rec.Tables[0]) // a CSV is one table: what the device makes of the patches
	}
	return o.print(o.Streams, rec)
}
