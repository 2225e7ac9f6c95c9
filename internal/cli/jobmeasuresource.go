package cli

import (
	"encoding/json"
	"fmt"
	"strings"

	"backporch/internal/job"
)

// checked is what is kept of the JSON of check, by capture or by oscilloscope.
type checked struct {
	Schema   string `json:"schema"`
	Verdict  string `json:"verdict"`
	Words    string `json:"in_words"`
	File     string `json:"file"`
	Pattern  string `json:"pattern"`
	Raster   string `json:"raster"`
	Fit      *bool  `json:"fit"` // of an oscilloscope
	Findings []struct {
		Fault      string   `json:"fault"`
		Words      string   `json:"words"`
		Confidence *float64 `json:"confidence_percent"`
	} `json:"findings"`
}

// The schemas of check, up to the version.
const (
	checkSchema      = "backporch/check/"
	checkScopeSchema = "backporch/check-scope/"
)

// readCheck reads --check. raster is the one that the set is played: a check of
// another is of another source.
func readCheck(path, raster string) (*job.Check, error) {
	data, err := readSmall(path)
	if err != nil {
		return nil, err
	}
	var c checked
	if err := json.Unmarshal(data, &c); err != nil {
		return nil, fmt.Errorf("%s is no JSON of a check: %w; `backporch check --json` prints one", path, err)
	}
	scope := strings.HasPrefix(c.Schema, checkScopeSchema)
	if !scope && !strings.HasPrefix(c.Schema, checkSchema) {
		return nil, fmt.Errorf("%s has the schema %q, and a check has %q or %q; `backporch check --json` prints one", path, c.Schema, checkSchema+"1", checkScopeSchema+"1")
	}
	if c.Verdict == "" {
		return nil, fmt.Errorf("%s has no verdict in it; `backporch check --json` prints one", path)
	}
	if c.Raster != "" && c.Raster != raster {
		return nil, fmt.Errorf("%s is a check of raster %s, and the set is played %s; check what plays here, or correct the set with `backporch job set --raster %s`", path, c.Raster, raster, c.Raster)
	}
	s := &job.Check{Verdict: c.Verdict, Sentence: c.Words, Pattern: c.Pattern, File: c.File}
	if scope { // its verdict is a sentence
		s.Verdict, s.Sentence = "not-fit", c.Verdict
		if c.Fit != nil && *c.Fit {
			s.Verdict = "fit"
		}
	}
	for _, f := range c.Findings {
		text := f.Fault
		if f.Words != "" {
			text = strings.TrimSuffix(f.Words, ".")
		}
		if f.Confidence != nil {
			text = fmt.Sprintf("%s (%.0f %%)", text, *f.Confidence)
		}
		s.Findings = append(s.Findings, text)
	}
	return s, nil
}
