package place_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"slabwright/layout/place"
	"slabwright/layout/project"
)

func TestTmpDemo(t *testing.T) {
	for _, p := range []*project.Project{project.Demo(), must(project.Sample("bench"))} {
		t0 := time.Now()
		c, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
		require.NoError(t, err)
		fmt.Println(p.Name, "case", time.Since(t0), "front", place.Count(c))
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
				fmt.Printf("%v %s margin %.2f need %.2f %s\n", k.OK, k.Name, k.Margin, k.Need, k.Message)
			}
		}
	}
}
func must(p *project.Project, err error) *project.Project {
	if err != nil {
		panic(err)
	}
	return p
}

func TestTmpWhy(t *testing.T) {
	p := project.Demo()
	c, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
	require.NoError(t, err)
	pl := c.Settle(place.Placement{X: 900, Y: 0, Face: place.Top})
	fmt.Printf("%+v\n%+v\n", pl, c.Score(pl))
	for _, k := range c.Check(pl).Checks {
		if !k.OK {
			fmt.Printf("%v %s margin %.2f need %.2f %s\n", k.OK, k.Name, k.Margin, k.Need, k.Message)
		}
	}
	q := must(project.Sample("bench"))
	c, _ = place.NewCase(q.Slab, q.Body, q.Need, q.Wish)
	c.Search(context.Background(), place.Options{Limit: 15e9})
}
