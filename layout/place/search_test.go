package place_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"slabwright/layout/place"
)

func TestTmp(t *testing.T) {
	s := board(1400, 60, strip(70, pale), strip(40, brown), strip(60, pale), strip(20, red), strip(90, pale), strip(30, brown), strip(80, pale))
	b := plainBody(400, 310, 44, 0.1)
	c, err := place.NewCase(s, b, place.DefaultNeed(), place.DefaultWish())
	require.NoError(t, err)
	r, err := c.Search(context.Background(), place.Options{Alternatives: 3, Limit: 20e9, Progress: func(p place.Progress) {
		if p.Evaluated%6400 < 128 {
			fmt.Println(p.Evaluated, p.Elapsed, p.Bound, p.Best != nil && p.Best.Score.Total > 0)
		}
	}})
	require.NoError(t, err)
	fmt.Printf("%+v\n", r)
	if r.Best != nil {
		fmt.Printf("%+v\n", *r.Best)
		for _, k := range c.Check(r.Best.Placement).Checks {
			fmt.Printf("%+v\n", k)
		}
	}
}
