package device

import (
	"fmt"
	"strings"

	"backporch/internal/typo"
)

// A maker builds one of the profiles that the program brings.
type maker struct {
	name  string
	build func() *Profile
}

// makers is in listing order.
func makers() []maker {
	var list []maker
	list = append(list, playerMakers()...)
	list = append(list, computerMakers()...)
	list = append(list, pixelMakers()...)
	return list
}

// Builtin returns the profiles that the program brings, in listing order. They
// are the caller's.
func Builtin() []*Profile {
	var list []*Profile
	for _, m := range makers() {
		list = append(list, m.build())
	}
	return list
}

// Names returns the names of [Builtin].
func Names() []string {
	var names []string
	for _, m := range makers() {
		names = append(names, m.name)
	}
	return names
}

// Find returns the built-in profile of that name. The error suggests a near one.
func Find(name string) (*Profile, error) {
	for _, m := range makers() {
		if strings.EqualFold(m.name, name) {
			return m.build(), nil
		}
	}
	return nil, fmt.Errorf("unknown device %q%s; `backporch list devices` names them all, and --device FILE.toml reads a profile of your own", name, typo.Suggest(name, Names()))
}
