package place_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/layout/place"
	"slabwright/layout/project"
)

// Two bodies in a long mirror slab both find a perfect place, side by side
// along the middle strip, and the sum of the two bounds proves it.
func TestTwoBodiesInOneSlab(t *testing.T) {
	s := board(900, 60, strip(60, pale), strip(12, red), strip(70, brown), strip(12, red), strip(60, pale))
	need := place.DefaultNeed()
	big, err := place.NewCase(s, plainBody(300, 180, 44, 0), need, place.DefaultWish())
	require.NoError(t, err)
	small, err := place.NewCase(s, plainBody(220, 150, 30, 0.1), need, place.DefaultWish())
	require.NoError(t, err)
	r, err := place.Together(context.Background(), []*place.Case{big, small}, place.Options{})
	require.NoError(t, err)
	require.Len(t, r.Placed, 2)
	assert.Less(t, r.Score, 0.02)
	assert.LessOrEqual(t, r.Gap, 0.02)
	assert.GreaterOrEqual(t, r.Gap, 0.0)
	a, b := big.Footprint(r.Placed[0].Placement), small.Footprint(r.Placed[1].Placement)
	assert.GreaterOrEqual(t, a.Gap(b).Value, need.Clearance()-0.01)
	assert.True(t, big.Allowed(r.Placed[0].Placement))
	assert.True(t, small.Allowed(r.Placed[1].Placement))
}

// The piece that asks for more room gets it, whichever is placed first.
func TestPiecesKeepTheWiderNeed(t *testing.T) {
	s := board(700, 60, strip(60, pale), strip(70, brown), strip(60, pale))
	wide := place.DefaultNeed()
	wide.Margin = 20
	w := place.DefaultWish()
	w.NearX = &place.NearWish{Value: 350} // both want the middle
	w.Faces, w.Angles = []place.Face{place.Top}, &[2]float64{-0.05, 0.05}
	a, err := place.NewCase(s, plainBody(200, 130, 44, 0), wide, w)
	require.NoError(t, err)
	b, err := place.NewCase(s, plainBody(180, 120, 44, 0), place.DefaultNeed(), w)
	require.NoError(t, err)
	r, err := place.Together(context.Background(), []*place.Case{a, b}, place.Options{})
	require.NoError(t, err)
	require.Len(t, r.Placed, 2)
	assert.LessOrEqual(t, r.Gap, gapAsked(r.Score))
	gap := a.Footprint(r.Placed[0].Placement).Gap(b.Footprint(r.Placed[1].Placement)).Value
	assert.GreaterOrEqual(t, gap, wide.Clearance()-0.01)
	assert.Less(t, gap, wide.Clearance()+5, "both want the middle, so they crowd")
}

// Three want the middle. What each alone could have there is no bound to speak
// of, as no two of them can lie there.
func TestThreePiecesAreBoundedByTheirPairs(t *testing.T) {
	s := board(560, 60, strip(50, pale), strip(40, brown), strip(50, pale))
	w := place.DefaultWish()
	w.Faces, w.Angles = []place.Face{place.Top}, &[2]float64{-0.1, 0.1}
	w.NearX = &place.NearWish{Value: 280}
	c, err := place.NewCase(s, plainBody(130, 90, 44, 0), place.DefaultNeed(), w)
	require.NoError(t, err)
	r, err := place.Together(context.Background(), []*place.Case{c, c, c}, place.Options{})
	require.NoError(t, err)
	require.Len(t, r.Placed, 3)
	// Each lies at least its length and the clearance from the next.
	far := 130 + c.Need.Clearance()
	assert.InDelta(t, 2*far*w.Weights.NearX, r.Score, 0.1)
	assert.Greater(t, r.Bound, 0.9*1.5*far*w.Weights.NearX)
	for i := range 3 {
		f, g := c.Footprint(r.Placed[i].Placement), c.Footprint(r.Placed[(i+1)%3].Placement)
		assert.GreaterOrEqual(t, f.Gap(g).Value, c.Need.Clearance()-0.01)
	}
}

// Two that cannot both fit: it is said which found no room, and proved.
func TestPiecesThatFindNoRoom(t *testing.T) {
	s := board(360, 60, strip(60, pale), strip(70, brown), strip(60, pale))
	c, err := place.NewCase(s, plainBody(220, 150, 44, 0), place.DefaultNeed(), place.DefaultWish())
	require.NoError(t, err)
	r, err := place.Together(context.Background(), []*place.Case{c, c}, place.Options{})
	require.NoError(t, err)
	assert.Nil(t, r.Placed)
	assert.Equal(t, 1, r.Missing)
	assert.True(t, r.Proved)

	other := board(360, 60, strip(190, pale))
	d, err := place.NewCase(other, plainBody(220, 150, 44, 0), place.DefaultNeed(), place.DefaultWish())
	require.NoError(t, err)
	_, err = place.Together(context.Background(), []*place.Case{c, d}, place.Options{})
	assert.ErrorContains(t, err, "same slab")
}

// The demo's slab holds the demo's body and a plate beside it, with a gap that
// is proved.
func TestPlateBesideTheDemosBody(t *testing.T) {
	if testing.Short() {
		t.Skip("slow: run without -short")
	}
	p := project.Demo()
	body, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
	require.NoError(t, err)
	plate, err := place.NewCase(p.Slab, plainBody(200, 90, 16, 0), p.Need, p.Wish)
	require.NoError(t, err)
	r, err := place.Together(context.Background(), []*place.Case{body, plate}, place.Options{})
	require.NoError(t, err)
	require.Len(t, r.Placed, 2)
	assert.Less(t, r.Gap, 0.05*max(1, r.Score))
	gap := body.Footprint(r.Placed[0].Placement).Gap(plate.Footprint(r.Placed[1].Placement)).Value
	assert.GreaterOrEqual(t, gap, p.Need.Clearance()-0.01)
}
