package report

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/meter"
	"backporch/internal/table"
)

// guns is the full fields of the three guns.
func (r *Result) guns(g *Given) error {
	f, err := meter.Guns(samples(r.M.Light))
	if err != nil {
		return err
	}
	r.Guns = f
	t := &table.Table{Name: "guns", Title: "Fields of the guns, less black", Columns: []table.Column{{Name: "Gun"}, {Name: "Y", Unit: "cd/m2", Decimals: 2},
		{Name: "x", Decimals: 4}, {Name: "y", Key: "small_y", Decimals: 4}, {Name: "Share of light", Unit: "%", Decimals: 1}}}
	for i, name := range gunNames() {
		gun := f.Guns[i]
		r.hold(g, repeated(ofLight(Judged{Key: "light-" + name, Name: "Light of the " + name + " gun", Unit: "cd/m2", Decimals: 2, Value: gun.XYZ.Y}), gun.Sigma.Y, gun.N))
		r.hold(g, Judged{Key: name + "-x", Minor: true, Name: "Phosphor of " + name + ", x", Decimals: 4, Value: gun.XY.X, Sigma: 0.0007, Across: 0.003, Basis: phosphorBasis})
		r.hold(g, Judged{Key: name + "-y", Minor: true, Name: "Phosphor of " + name + ", y", Decimals: 4, Value: gun.XY.Y, Sigma: 0.0007, Across: 0.003, Basis: phosphorBasis})
		t.Add(name, gun.XYZ.Y, gun.XY.X, gun.XY.Y, gun.Share)
	}
	if f.BlackKnown {
		r.hold(g, dark(Judged{Key: "guns-black", Minor: true, Name: "Black field", Unit: "cd/m2", Decimals: 3, Value: f.Black.Y}))
	} else {
		r.say("The black field was not read: the light of the room is in these figures.")
	}
	if f.WhiteKnown {
		// Sum and white are read with one meter: it repeats to 0.3 % each.
		sigma := 100 * lightRepeat * math.Sqrt2
		r.hold(g, Judged{Key: "additivity", Name: "Sum of the guns against white", Unit: "%", Decimals: 1, Value: f.Additivity, Sigma: sigma, Across: sigma, Basis: lightBasis})
		if f.Additivity > 3 {
			r.say("White has %.1f %% less light than its three guns together: the supply or a beam limiter takes it. Measure white on a small patch.", f.Additivity)
		}
	} else {
		r.say("The white field was not read: whether the guns add up is not known.")
	}
	r.phosphors(g, f)
	r.Tables = append(r.Tables, t)
	return nil
}

const phosphorBasis = "assumed: a meter repeats to 0.0007 in x and y on one gun (common practice)"

// phosphors says how the tube stands to the primaries that the set is taken to
// have.
func (r *Result) phosphors(g *Given, f *meter.FieldSet) {
	if g.Set == nil {
		return
	}
	p, err := colorimetry.ParsePrimaries(g.Set.Primaries)
	if err != nil {
		return
	}
	if p.Name == "ebu" {
		r.studio(f)
	}
	for i, named := range []colorimetry.XY{p.R, p.G, p.B} {
		a, b := f.Guns[i].XY.UV1976(), named.UV1976()
		off := math.Hypot(a.U-b.U, a.V-b.V)
		r.hold(g, ofColor(Judged{Key: "phosphor-" + gunNames()[i], Minor: true, Name: "Phosphor of " + gunNames()[i] + ", distance from " + p.Title, Unit: "u'v'", Decimals: 4, Value: off}, 1))
	}
}

// studio holds the phosphors to the areas of EBU Tech 3213-E, where the set is
// said to have them.
func (r *Result) studio(f *meter.FieldSet) {
	p, err := meter.Phosphors(f.Guns[0].XY, f.Guns[1].XY, f.Guns[2].XY)
	if err != nil {
		r.say("%s", sentence("The phosphors are not those of EBU Tech 3213-E: "+err.Error()))
		return
	}
	for i, name := range gunNames() {
		j := Judged{Key: "phosphor-area-" + name, Name: "Phosphor of " + name, Text: "inside its area", Source: p.Document}
		if !p.Guns[i].Inside {
			j.Text, j.Out = "outside its area", true
		}
		r.Judged = append(r.Judged, j)
	}
	limit := 0.003
	r.Judged = append(r.Judged, Judged{Key: "skin-tone", Name: "Skin tone with these phosphors", Unit: "u, v of CIE 1960", Decimals: 4, Value: p.Skin, Max: &limit, Out: !p.SkinOK, Source: p.Document})
}

// repeated takes the standard deviation from readings that were taken more than
// once, instead of what is assumed.
func repeated(j Judged, sigma float64, n int) Judged {
	if n > 1 && sigma > 0 {
		j.Sigma = sigma / math.Sqrt(float64(n))
		j.Across = rms(j.Across, j.Sigma)
		j.Basis = fmt.Sprintf("measured: %d readings", n)
	}
	return j
}

// uniformity is white at up to nine places.
func (r *Result) uniformity(g *Given) error {
	u, err := meter.Uniformity(samples(r.M.Light))
	if err != nil {
		return err
	}
	t := &table.Table{Name: "uniformity", Title: "White by zone", Columns: []table.Column{{Name: "Zone"}, {Name: "Y", Unit: "cd/m2", Decimals: 1}, {Name: "Of the middle", Unit: "%", Decimals: 1},
		{Name: "x", Decimals: 4}, {Name: "y", Key: "small_y", Decimals: 4}, {Name: "From the middle", Unit: "du*v*", Key: "from_the_middle_du_v", Decimals: 1}}}
	for _, z := range u.Zones {
		r.Zones = append(r.Zones, Zone{Name: z.Name, Percent: z.Percent, Off: z.Chroma})
		t.Add(z.Name, z.XYZ.Y, z.Percent, z.XY.X, z.XY.Y, z.Chroma)
	}
	// Two readings of one meter are held against each other.
	j := Judged{Key: "uniformity-luminance", Limit: job.LimitUniformityLuminance, Name: "Light of the darkest zone (" + u.Least.Name + ")", Unit: "% of the middle", Decimals: 1, Value: u.Least.Percent, Basis: lightBasis}
	j.Sigma = lightRepeat * math.Sqrt2 * j.Value
	j.Across = j.Sigma
	r.hold(g, j)
	j = Judged{Key: "uniformity-color", Limit: job.LimitUniformityColor, Name: "Color of the farthest zone (" + u.Farthest.Name + ")", Unit: "du*v*", Decimals: 1, Value: u.Farthest.Chroma, Basis: lightBasis}
	j.Sigma = colorRepeat * math.Sqrt2 * perUV
	j.Across = j.Sigma
	r.hold(g, j)
	if k := r.find("uniformity-color"); k.Out {
		r.say("The %s zone has another color than the middle: degauss and look at purity before anything else.", u.Farthest.Name)
	}
	r.Tables = append(r.Tables, t)
	return nil
}
