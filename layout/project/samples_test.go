package project_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/project"
	"slabwright/layout/slab"
)

// shipped are all projects that come with the program.
func shipped(t *testing.T) map[string]*project.Project {
	out := map[string]*project.Project{}
	for _, name := range project.Samples() {
		p, err := project.Sample(name)
		require.NoError(t, err, name)
		out[name] = p
	}
	p, err := project.Parse("new.toml", project.Starter(), nil)
	require.NoError(t, err, "%s", project.Starter())
	out["starter"] = p
	return out
}

func TestShippedProjectsCanBeBuilt(t *testing.T) {
	for name, p := range shipped(t) {
		t.Run(name, func(t *testing.T) {
			assert.NotEmpty(t, p.Name)
			assert.Nil(t, p.Placement, "it is searched")
			assert.NoError(t, p.Slab.Check())
			for _, c := range p.Body.Check() {
				assert.True(t, c.OK, "%s: %s", c.Name, c.Message)
			}
			assert.Empty(t, p.NeckReport.Warnings)
		})
	}
}

// For each a level placement along the slab's middle is known; the verdict
// must let it pass. That a better one is found is the business of place.
func TestShippedBodiesFitIntoTheirSlabs(t *testing.T) {
	for name, lies := range map[string]place.Placement{
		"demo":    {X: 1350, Face: place.Top},
		"bench":   {X: 1130, Face: place.Top},
		"starter": {X: 600, Face: place.Top},
	} {
		t.Run(name, func(t *testing.T) {
			p := shipped(t)[name]
			c, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
			require.NoError(t, err)
			for _, k := range c.Check(c.Settle(lies)).Checks {
				assert.True(t, k.OK, "%s: %s", k.Name, k.Message)
			}
		})
	}
}

func TestDemoIsThePanelThatItsCommentsPromise(t *testing.T) {
	p := project.Demo()
	woods := map[string]bool{}
	for _, s := range p.Slab.Strips {
		for _, piece := range s.Pieces {
			woods[piece.Wood] = true
		}
	}
	assert.Len(t, woods, 7)
	assert.Equal(t, 22, p.Fret.Count)
	assert.Equal(t, 12.0, p.Slab.TopAt(850)-p.Slab.TopAt(0), "the bow")
	assert.Less(t, p.Slab.Plan.Stations[0].Value, p.Slab.Plan.Stations[2].Value, "the taper")
	var diagonals int
	for i, s := range p.Slab.Strips {
		for _, tr := range s.Transitions {
			y0, y1 := p.Slab.Band(i)
			assert.Equal(t, slab.Diagonal, tr.Kind)
			assert.NotZero(t, y0+y1, "off the centre")
			diagonals++
		}
	}
	assert.Equal(t, 1, diagonals)
	require.NotNil(t, p.Chambers)
	assert.Empty(t, p.Slab.Chambers, "they are planned, not cut")
	hollow := p.Hollowed(nil)
	assert.NoError(t, hollow.Check())
	assert.Less(t, hollow.Weight().AfterG, 0.9*p.Slab.Weight().BeforeG)
}

func TestBenchDiffersFromTheDemoInEverything(t *testing.T) {
	all := shipped(t)
	d, b := all["demo"], all["bench"]
	assert.Equal(t, measure.Inches, b.Unit)
	for what, pair := range map[string][2]any{
		"unit": {d.Unit, b.Unit}, "length": {d.Slab.Length, b.Slab.Length}, "width": {d.Slab.Width(), b.Slab.Width()},
		"top": {d.Slab.Profile.Top, b.Slab.Profile.Top}, "bottom": {d.Slab.Profile.Bottom, b.Slab.Profile.Bottom},
		"plan": {d.Slab.Plan.Stations, b.Slab.Plan.Stations}, "edge, top": {d.Slab.Edge.TopRadius, b.Slab.Edge.TopRadius}, "edge, bottom": {d.Slab.Edge.BottomRadius, b.Slab.Edge.BottomRadius},
		"strips": {len(d.Slab.Strips), len(b.Slab.Strips)}, "scale": {d.Fret.MeanScale(), b.Fret.MeanScale()}, "two scales": {d.Fret.Two(), b.Fret.Two()},
		"frets": {d.Fret.Count, b.Fret.Count}, "string count": {d.Fret.Strings.Count, b.Fret.Strings.Count},
		"nut spread": {d.Fret.SpreadNut, b.Fret.SpreadNut}, "saddle spread": {d.Fret.SpreadSaddle, b.Fret.SpreadSaddle},
		"edge margin": {d.Fret.MarginNut, b.Fret.MarginNut}, "end margin": {d.Fret.MarginEnd, b.Fret.MarginEnd}, "overhang": {d.Fret.Overhang, b.Fret.Overhang},
		"joint fret": {d.BodySpec.Neck.JointFret, b.BodySpec.Neck.JointFret}, "pocket length": {d.BodySpec.Neck.Length, b.BodySpec.Neck.Length},
		"pocket depth": {d.BodySpec.Neck.Depth, b.BodySpec.Neck.Depth}, "heel width": {d.BodySpec.Neck.HeelWidth, b.BodySpec.Neck.HeelWidth},
		"neck angle": {d.BodySpec.Neck.Angle, b.BodySpec.Neck.Angle}, "screws": {d.BodySpec.Neck.Screws, b.BodySpec.Neck.Screws},
		"headstock": {d.Neck.Head.Layout, b.Neck.Head.Layout}, "head angle": {d.Neck.Blank.HeadAngleDeg, b.Neck.Blank.HeadAngleDeg},
		"family": {d.BodySpec.Family, b.BodySpec.Family}, "thickness": {d.Body.Thickness, b.Body.Thickness},
		"pickup": {d.BodySpec.Pickups[0].Kind, b.BodySpec.Pickups[0].Kind}, "pickup place": {d.BodySpec.Pickups[0].FromSaddle, b.BodySpec.Pickups[0].FromSaddle},
		"bridge": {d.BodySpec.Bridge.Kind, b.BodySpec.Bridge.Kind}, "cavity": {d.BodySpec.Cavities[0].Length, b.BodySpec.Cavities[0].Length},
		"kerf": {d.Need.Kerf, b.Need.Kerf}, "margin": {d.Need.Margin, b.Need.Margin}, "flatten": {d.Need.Flatten, b.Need.Flatten},
		"paper": {d.Paper.Size, b.Paper.Size}, "paper margin": {d.Paper.Margin, b.Paper.Margin}, "overlap": {d.Paper.Overlap, b.Paper.Overlap},
		"chambers planned": {d.Chambers != nil, b.Chambers != nil}, "chambers given": {len(d.Slab.Chambers), len(b.Slab.Chambers)},
		"fasteners": {len(d.Slab.Fasteners), len(b.Slab.Fasteners)},
	} {
		assert.NotEqual(t, pair[0], pair[1], what)
	}
	for _, c := range b.Slab.Chambers {
		assert.Equal(t, slab.Cut, c.State)
	}
	for _, s := range d.Slab.Strips {
		for _, o := range b.Slab.Strips {
			assert.NotEqual(t, s.Thickness(), o.Thickness(), "%s, %s", s.Name, o.Name)
		}
	}
	var chevrons int
	for _, s := range b.Slab.Strips {
		for _, tr := range s.Transitions {
			assert.Equal(t, slab.Chevron, tr.Kind)
			assert.Len(t, tr.Slips, 2)
			chevrons++
		}
	}
	assert.Equal(t, 1, chevrons)
}

func TestUnknownSamplesAreRefused(t *testing.T) {
	_, err := project.Sample("demmo")
	assert.EqualError(t, err, `no sample is named "demmo"; did you mean demo?`)
	_, err = project.Sample("")
	assert.EqualError(t, err, `no sample is named ""; there are demo or bench`)
}
