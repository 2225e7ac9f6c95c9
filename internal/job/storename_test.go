package job

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCheckName(t *testing.T) {
	for _, good := range []string{"bench-a", "A", "7", "x_1.b", strings.Repeat("a", 64), "console", "com", "com10"} {
		assert.NoError(t, CheckName(good), good)
	}
	for name, want := range map[string]string{
		"":                      "has no name",
		".hidden":               "begins with '.'",
		"-x":                    "begins with '-'",
		"_x":                    "begins with '_'",
		"..":                    "begins with '.'",
		"a/b":                   "has '/' in it",
		`a\b`:                   `has '\\' in it`,
		"a b":                   "has ' ' in it",
		"bänk":                  "has 'ä' in it",
		"a\x00":                 `has '\x00' in it`,
		"a\xff":                 "in it",
		strings.Repeat("a", 65): "has 65 characters",
		"bench-a.json":          "ends in .json, which is added to it",
		"BENCH.JSON":            "ends in .json",
		// Reserved names of devices: Microsoft, "Naming Files, Paths, and
		// Namespaces" (from memory): whatever the suffix.
		"con": "device", "NUL": "device", "aux.old": "device", "prn": "device", "com1": "device", "LPT9": "device",
	} {
		assert.ErrorContains(t, CheckName(name), want, "%q", name)
	}
}

func TestNameOf(t *testing.T) {
	for label, want := range map[string]string{
		"Bench A":                    "bench-a",
		"  Bench   B (spare) ":       "bench-b-spare",
		"20in/480i":                  "20in-480i",
		"set_2.old":                  "set_2.old",
		"...":                        "",
		"":                           "",
		"Gerät 4":                    "ger-t-4",
		"!!!":                        "",
		"Con":                        "job-con",
		"bench.json":                 "bench",
		strings.Repeat("Bench ", 20): strings.TrimRight(strings.Repeat("bench-", 11)[:64], "-"),
	} {
		got := NameOf(label)
		assert.Equal(t, want, got, "%q", label)
		if got != "" {
			assert.NoError(t, CheckName(got), "%q", label)
		}
	}
}

func FuzzNameOf(f *testing.F) {
	f.Add("Bench A")
	f.Add("nul.json.json")
	f.Add("0.json.json")
	f.Add("NUL " + strings.Repeat("a", 53) + ".json and more") // its end is cut off
	f.Fuzz(func(t *testing.T, label string) {
		if name := NameOf(label); name != "" {
			assert.NoError(t, CheckName(name), "%q", label)
		}
	})
}
