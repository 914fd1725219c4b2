package project

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The neck weighs what its shape and woods say, unless the maker weighed it.
func TestNeckWeighsByItsWoods(t *testing.T) {
	read := func(more string) *Project {
		p, err := Parse("neck.toml", []byte(small+more), nil)
		require.NoError(t, err)
		return p
	}
	neckMass := func(p *Project) float64 {
		for _, m := range p.Body.Masses {
			if m.Name == "neck" {
				return m.Grams
			}
		}
		require.Fail(t, "the body carries no neck")
		return 0
	}
	usual := read("")
	grams, u, v, w := usual.NeckReport.MassInBody(usual.NeckWoods)
	assert.InDelta(t, grams, neckMass(usual), 1e-9)
	at := usual.BodySpec.Masses.NeckCG
	assert.Equal(t, [3]float64{u, v, w}, [3]float64{at.X, at.Y, at.Z})
	assert.Less(t, u, -usual.BodySpec.ScaleLength/2, "its centre is on the nut's half")
	assert.Less(t, usual.BodySpec.Masses.TunersAt.X, -usual.BodySpec.ScaleLength, "the tuners lie past the nut")

	assert.Less(t, neckMass(read("[neck]\nwood = \"western-redcedar\"\n")), grams-100, "a light wood")
	assert.Greater(t, neckMass(read("[neck]\nboard.density = 1200\n")), grams+20, "a heavy fretboard")
	assert.InDelta(t, grams+100-250*0.001*usual.NeckReport.Outline().SideChannel[1].U, neckMass(read("[neck]\nrod.mass = \"100 g\"\n")), 1e-6)
	assert.InDelta(t, 612, neckMass(read("[body]\nmasses.neck = \"612 g\"\n")), 1e-9, "as weighed")
}

// A clamp's force and a load may be given in the unit that is written on them; a bare
// number is newtons.
func TestForcesSayTheirUnit(t *testing.T) {
	for text, want := range map[string]float64{"3500": 3500, `"3500 N"`: 3500, `"900 lbf"`: 900 * 4.4482216152605, `"400 kgf"`: 400 * 9.80665} {
		p, err := Parse("shop.toml", []byte(small+"[shop]\nglue.clamp_force = "+text+"\nload.skin = "+text+"\n"), nil)
		require.NoError(t, err, text)
		assert.InDelta(t, want, p.Shop.Glue.ClampForceN, 1e-9, text)
		assert.InDelta(t, want, p.Shop.SkinLoadN, 1e-9, text)
	}
	_, err := Parse("shop.toml", []byte(small+"[shop]\nglue.clamp_force = \"900 lb\"\n"), nil)
	assert.ErrorContains(t, err, "900 lbf")
}
