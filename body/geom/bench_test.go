package geom_test

import (
	"fmt"
	"testing"

	. "slabwright/body/geom"
)

func wavy(n int) Polygon {
	g := Regular(Pt(0, 0), 180, n)
	for i, p := range g {
		if i%2 == 0 {
			g[i] = p.Add(p.Sub(Pt(0, 0)).Mul(-0.02))
		}
	}
	return g
}

func BenchmarkPolygon(b *testing.B) {
	for _, n := range []int{100, 1000} {
		g, outer := wavy(n), Regular(Pt(3, 2), 220, n)
		b.Run(fmt.Sprintf("Moments/%d", n), func(b *testing.B) {
			for b.Loop() {
				g.Moments()
			}
		})
		b.Run(fmt.Sprintf("SelfCrossing/%d", n), func(b *testing.B) {
			for b.Loop() {
				g.SelfCrossing()
			}
		})
		b.Run(fmt.Sprintf("Room/%d", n), func(b *testing.B) {
			for b.Loop() {
				g.Room(outer)
			}
		})
		b.Run(fmt.Sprintf("ClippedTo/%d", n), func(b *testing.B) {
			c := Convex(Box{Pt(-100, -20), Pt(150, 30)}.Polygon())
			for b.Loop() {
				g.ClippedTo(c)
			}
		})
		b.Run(fmt.Sprintf("Offset/%d", n), func(b *testing.B) {
			for b.Loop() {
				Offset(g, 3)
			}
		})
	}
}

func BenchmarkPath(b *testing.B) {
	p := circle(200)
	b.Run("Flatten 0.005", func(b *testing.B) {
		for b.Loop() {
			p.Flatten(0.005)
		}
	})
	b.Run("FlattenOutside 0.005", func(b *testing.B) {
		for b.Loop() {
			p.FlattenOutside(0.005)
		}
	})
	b.Run("TightestInside", func(b *testing.B) {
		for b.Loop() {
			p.TightestInside()
		}
	})
}
