package report

import (
	"errors"
	"fmt"
	"strings"

	"backporch/internal/geometry"
	"backporch/internal/table"
)

// gradeSigma is how far the same eye strays from its own grade when it looks
// again (common practice): half a grade.
const gradeSigma = 0.5

// grades are what an eye says of zones: the worst counts.
func (r *Result) grades(g *Given, limit, name string) error {
	var graded []geometry.Graded
	t := &table.Table{Name: "grades", Title: name + ", grades by eye", Columns: []table.Column{{Name: "Zone"}, {Name: "Field"}, {Name: "Grade"}, {Name: "In words"}, {Name: "Remark"}}}
	for _, v := range r.M.Grades {
		word, err := geometry.GradeWord(v.Grade)
		if err != nil {
			return fmt.Errorf("zone %s: %w", v.Zone, err)
		}
		t.Add(v.Zone, orNil(v.Field), v.Grade, word, orNil(v.Text))
		graded = append(graded, geometry.Graded{Zone: v.Zone, Field: v.Field, Grade: v.Grade})
	}
	sum, err := geometry.SumUp(graded)
	if err != nil {
		return err
	}
	j := Judged{Key: limit, Limit: limit, Name: name + ", grade of the worst zone", Value: float64(sum.Grade), Sigma: gradeSigma, Across: gradeSigma,
		Basis: "an eye strays by half a grade (common practice)"}
	r.hold(g, j)
	if sum.Grade < 5 {
		var where []string
		for _, w := range sum.Worst {
			where = append(where, strings.TrimSuffix(w.Zone+" in "+w.Field, " in "))
		}
		r.say("%s is %s at %s.", name, sum.Words, strings.Join(where, ", "))
	}
	r.Tables = append(r.Tables, t)
	return nil
}

// source is what a check of the source said: words, no value.
func (r *Result) source() error {
	c := r.M.Source
	if c == nil {
		return errors.New("there is no verdict: give what check said of the source")
	}
	verdict := strings.ToLower(strings.ReplaceAll(c.Verdict, "-", " "))
	r.Judged = append(r.Judged, Judged{Key: "source", Name: "Verdict on the source", Text: verdict,
		Out: verdict == "not fit" || verdict == "cannot tell", Source: "the class of tolerance that check was run with"})
	if c.Sentence != "" {
		r.say("%s", sentence(c.Sentence))
	}
	for _, f := range c.Findings {
		r.say("%s", sentence(f))
	}
	return nil
}
