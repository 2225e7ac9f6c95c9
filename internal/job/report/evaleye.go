package report

import (
	"errors"
	"slices"
	"strings"

	"backporch/internal/geometry"
	"backporch/internal/job"
	"backporch/internal/table"
)

// gradeSigma is how far the same eye strays from its own grade when it looks
// again (common practice): half a grade.
const gradeSigma = 0.5

// grades are what an eye says of zones: the worst counts.
func (r *Result) grades(g *Given, limit, name string) error {
	var graded []geometry.Graded
	for _, v := range r.M.Grades {
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
	r.Tables = append(r.Tables, gradeTable(name, r.M.Grades))
	return nil
}

// gradeTable has a row for each zone and a column for each field.
func gradeTable(name string, grades []job.Grade) *table.Table {
	t := &table.Table{Name: "grades", Title: name + ", grades by eye", Columns: []table.Column{{Name: "Zone"}}}
	var fields, zones []string
	for _, v := range grades {
		if !contains(fields, v.Field) {
			fields = append(fields, v.Field)
			t.Columns = append(t.Columns, table.Column{Name: or(v.Field, "grade")})
		}
		if !contains(zones, v.Zone) {
			zones = append(zones, v.Zone)
		}
	}
	t.Columns = append(t.Columns, table.Column{Name: "Remark"})
	for _, z := range zones {
		row := make([]any, len(t.Columns))
		row[0] = z
		var remarks []string
		for _, v := range grades {
			if v.Zone == z {
				row[1+slices.Index(fields, v.Field)] = v.Grade
				if v.Text != "" {
					remarks = append(remarks, v.Text)
				}
			}
		}
		row[len(row)-1] = orNil(strings.Join(remarks, "; "))
		t.Add(row...)
	}
	return t
}

// source is what a check of the source said: words, no value.
func (r *Result) source() error {
	c := r.M.Source
	if c == nil {
		return errors.New("there is no verdict: give what check said of the source")
	}
	verdict := strings.ToLower(strings.ReplaceAll(c.Verdict, "-", " "))
	r.Judged = append(r.Judged, Judged{Key: "source", Name: "Verdict on the source", Text: verdict,
		Out: verdict == "not fit", Untold: verdict == "cannot tell", Source: "the class of tolerance that check was run with"})
	if c.Sentence != "" {
		r.say("%s", sentence(c.Sentence))
	}
	for _, f := range c.Findings {
		r.say("%s", sentence(f))
	}
	return nil
}
