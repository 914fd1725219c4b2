package slab

import (
	"fmt"
	"math"
	"testing"

	"slabwright/body/geom"
)

// wide is a shaped slab of n strips with accents, transitions and wood to be
// kept, 1800 mm long and as wide as n strips of 13 mm come to.
func wide(n int) (*Slab, []geom.Polygon) {
	s := &Slab{Length: 1800, Edge: Edge{TopRadius: 10, BottomRadius: 6}}
	for i := range n {
		p := Piece{Wood: "western-redcedar", Thickness: 18, RingAngle: math.NaN()}
		st := Strip{Name: fmt.Sprintf("strip %d", i+1), Pieces: []Piece{p}}
		switch i % 4 {
		case 1:
			st.Pieces[0] = Piece{Wood: "black-walnut", Thickness: 8, RingAngle: math.NaN()}
		case 2:
			q := p
			q.Wood = "basswood"
			st.Pieces = append(st.Pieces, q)
			st.Transitions = []Transition{{Kind: Chevron, At: 850, Angle: 0.6, Slips: []Slip{{Piece: Piece{Wood: "hard-maple"}, Width: 4}}}}
		}
		s.Strips = append(s.Strips, st)
	}
	w := s.Width() / 2
	s.Plan = Plan{Stations: []Station{{0, 0}, {250, 0.7 * w}, {700, 0.97 * w}, {1100, w}, {1500, 0.8 * w}, {1800, 0.3 * w}}, StartRounded: true}
	s.Profile = Profile{
		Top:    []Station{{0, 95}, {400, 78}, {900, 70}, {1400, 72}, {1800, 84}},
		Bottom: []Station{{0, 50}, {400, 12}, {900, 0}, {1400, 4}, {1800, 40}},
	}
	var ring geom.Polygon // a waisted footprint
	for k := range 200 {
		a := 2 * math.Pi * float64(k) / 200
		ring = append(ring, geom.Pt(1000+230*math.Cos(a), (0.55+0.1*math.Cos(2*a))*w*math.Sin(a)))
	}
	return s, []geom.Polygon{ring}
}

// BenchmarkReportWithChambers plans the chambers of a slab and reports on it
// in full.
func BenchmarkReportWithChambers(b *testing.B) {
	for _, n := range []int{40, 400} {
		s, reserved := wide(n)
		if err := s.Check(); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("%d strips", n), func(b *testing.B) {
			for b.Loop() {
				o := DefaultReportOptions()
				o.Reserved = reserved
				if _, _, err := s.ReportPlanned(o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkWeight(b *testing.B) {
	for _, n := range []int{40, 400} {
		s, _ := wide(n)
		b.Run(fmt.Sprintf("%d strips", n), func(b *testing.B) {
			for b.Loop() {
				s.Weight()
			}
		})
	}
}

func BenchmarkPlanChambers(b *testing.B) {
	for _, n := range []int{40, 400} {
		s, reserved := wide(n)
		b.Run(fmt.Sprintf("%d strips", n), func(b *testing.B) {
			for b.Loop() {
				PlanChambers(s, DefaultChamberRules(), reserved)
			}
		})
	}
}
