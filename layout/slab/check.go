package slab

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/wood"
	"slabwright/layout/wood/colour"
)

// Limits of what is taken for a slab rather than a slip of the pen, in mm.
const (
	longest     = 20000
	most        = 4000 // strips
	mostPieces  = 1000 // in one strip, and chambers, fasteners, flaws, stations
	closeEnough = 1e-6 // mm; far below any tool, far above rounding
	atEdge      = 0.02 // mm; what a chamber may stand beyond the outline, twice what the outline is drawn to
)

// Check says what is wrong with the slab, or nil. It tells of the first fault
// only, by rule:
//
//	 1 the length is a number above 0 and at most 20 m
//	 2 there is a strip, and at most 4000
//	 3 every strip has a piece, and one transition between each two
//	 4 every thickness is a number above 0; the pieces of a strip finish equal;
//	   a rough thickness is not below the finished one
//	 5 every wood is in the table; a colour reads as #rrggbb; own density,
//	   moisture and ring angle are possible ones
//	 6 every transition has a kind, an angle above 0 and up to 90°, slips above
//	   0 wide, and lies in its strip in order, nowhere touching the next
//	 7 plan stations grow, lie within the length, and their half-breadths are
//	   within the stack; only an end may be 0, and only a 0 end is rounded; a
//	   drawn outline is closed, does not cross itself and lies on the stack
//	 8 profile stations grow; the top is above the bottom everywhere
//	 9 edge radii are at least 0 and do not meet in the thickness
//	10 chambers lie in the outline in their strip, do not overlap, and have
//	   skins above 0 with a hollow between
//	11 fasteners have a direction, and a length and a shank above 0
//	12 flaws and fittings have a radius above 0 or a ring of three points and
//	   more; a fitting's mass is at least 0
func (s *Slab) Check() error {
	for _, rule := range []func(*Slab) error{
		(*Slab).checkStrips, (*Slab).checkProfile, (*Slab).checkPlan, (*Slab).checkObstacles,
	} {
		if err := rule(s); err != nil {
			return err
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func (s *Slab) checkStrips() error {
	if !(s.Length > 0 && s.Length <= longest) {
		return measure.Errorf("slab: length %v (rule 1): it must be above 0 and at most %v", measure.Length(s.Length), measure.Length(longest))
	}
	if len(s.Strips) == 0 || len(s.Strips) > most {
		return fmt.Errorf("slab: %d strips (rule 2): give 1 to %d", len(s.Strips), most)
	}
	for i, t := range s.Strips {
		name := s.StripName(i)
		if len(t.Pieces) == 0 || len(t.Pieces) > mostPieces {
			return fmt.Errorf("%s: %d pieces (rule 3): give 1 to %d", name, len(t.Pieces), mostPieces)
		}
		if len(t.Transitions) != len(t.Pieces)-1 {
			return fmt.Errorf("%s: %d pieces and %d transitions (rule 3): %d pieces need %d",
				name, len(t.Pieces), len(t.Transitions), len(t.Pieces), len(t.Pieces)-1)
		}
		for k, p := range t.Pieces {
			where := name
			if len(t.Pieces) > 1 {
				where = fmt.Sprintf("%s, piece %d", name, k+1)
			}
			if !(p.Thickness > 0 && p.Thickness <= longest) {
				return measure.Errorf("%s: thickness %v (rule 4): it must be above 0", where, measure.Length(p.Thickness))
			}
			if math.Abs(p.Thickness-t.Pieces[0].Thickness) > closeEnough {
				return measure.Errorf("%s: thickness %v but piece 1 has %v (rule 4): pieces of one strip finish equal", where, measure.Length(p.Thickness), measure.Length(t.Pieces[0].Thickness))
			}
			if p.Rough != 0 && !(p.Rough >= p.Thickness-closeEnough && finite(p.Rough)) {
				return measure.Errorf("%s: rough thickness %v is less than the finished %v (rule 4)", where, measure.Length(p.Rough), measure.Length(p.Thickness))
			}
			if err := p.check(); err != nil {
				return fmt.Errorf("%s: %w (rule 5)", where, err)
			}
		}
		if err := s.checkTransitions(i); err != nil {
			return err
		}
	}
	return nil
}

func (p Piece) check() error {
	if _, err := wood.Find(p.Wood); err != nil {
		return err
	}
	if p.Colour != "" {
		if _, err := colour.Parse(p.Colour); err != nil {
			return err
		}
	}
	if p.Density != 0 && !(p.Density >= 50 && p.Density <= 1500) {
		return fmt.Errorf("density %g kg/m³: woods lie between 50 and 1500", p.Density)
	}
	if p.Moisture != 0 && !(p.Moisture > 0 && p.Moisture <= 30) {
		return fmt.Errorf("moisture %g %%: give above 0 and up to 30", p.Moisture)
	}
	if a := p.RingAngle; !math.IsNaN(a) && !(a >= 0 && a <= math.Pi/2+closeEnough) {
		return fmt.Errorf("ring angle %.4g°: give 0° (rings flat) to 90° (rings upright)", a*180/math.Pi)
	}
	return nil
}

func (s *Slab) checkTransitions(strip int) error {
	t, name := s.Strips[strip], s.StripName(strip)
	for k, tr := range t.Transitions {
		where := fmt.Sprintf("%s, transition %d", name, k+1)
		switch tr.Kind {
		case Square:
		case Diagonal, Chevron:
			if !(tr.Angle > 0 && tr.Angle <= math.Pi/2+closeEnough) {
				return fmt.Errorf("%s: angle %.4g° (rule 6): it is measured from the strip's length, above 0° and up to 90°", where, tr.Angle*180/math.Pi)
			}
		default:
			return fmt.Errorf("%s: kind %q (rule 6): give %q, %q or %q", where, tr.Kind, Square, Diagonal, Chevron)
		}
		for _, sl := range tr.Slips {
			if !(sl.Width > 0 && sl.Width <= longest) {
				return measure.Errorf("%s: slip %v wide (rule 6): it must be above 0", where, measure.Length(sl.Width))
			}
			if err := sl.Piece.check(); err != nil {
				return fmt.Errorf("%s, slip: %w (rule 5)", where, err)
			}
		}
	}
	for k, p := range s.parts(strip) {
		for _, side := range [][2]float64{{p.from.right, p.to.right}, {p.from.mid, p.to.mid}, {p.from.left, p.to.left}} {
			if !(side[1]-side[0] > closeEnough && side[0] >= 0 && side[1] <= s.Length) {
				return measure.Errorf("%s, part %d: its joints leave %v to %v along the slab (rule 6): joints must follow each other within 0 to %v over the strip's whole thickness", name, k+1, measure.Length(side[0]), measure.Length(side[1]), measure.Length(s.Length))
			}
		}
	}
	return nil
}

func checkStations(what string, list []Station, length float64) error {
	if len(list) > mostPieces {
		return fmt.Errorf("%s: %d stations: give at most %d", what, len(list), mostPieces)
	}
	for i, st := range list {
		if !finite(st.X) || !finite(st.Value) || math.Abs(st.Value) > longest {
			return measure.Errorf("%s, station %d: %v, %v: not a usable number", what, i+1, measure.Length(st.X), measure.Length(st.Value))
		}
		if i > 0 && !(st.X-list[i-1].X > closeEnough) {
			return measure.Errorf("%s, station %d: %v follows %v: stations must grow along the slab", what, i+1, measure.Length(st.X), measure.Length(list[i-1].X))
		}
		if st.X < -closeEnough || st.X > length+closeEnough {
			return measure.Errorf("%s, station %d: %v is off the slab (0 to %v)", what, i+1, measure.Length(st.X), measure.Length(length))
		}
	}
	return nil
}

func (s *Slab) checkPlan() error {
	half := s.Width() / 2
	if p := s.Plan.Path; len(s.Plan.Stations) == 0 && len(p.Curves) > 0 {
		if !p.Closed {
			return fmt.Errorf("plan: the drawn outline is open (rule 7): close it")
		}
		for i, c := range p.Curves {
			for _, q := range []geom.Point{c.P0, c.P1, c.P2, c.P3} {
				if !q.Finite() {
					return fmt.Errorf("plan: curve %d of the drawn outline has a point that is not a number (rule 7)", i+1)
				}
			}
		}
		ring := p.Polygon(0.1)
		if x, ok := ring.SelfCrossing(); ok {
			return measure.Errorf("plan: the drawn outline crosses itself near %v, %v (rule 7)", measure.Length(x.At.X), measure.Length(x.At.Y))
		}
		box := p.Bounds()
		on := geom.Box{Min: geom.Pt(0, -half), Max: geom.Pt(s.Length, half)}.Grow(closeEnough)
		if !on.Has(box.Min) || !on.Has(box.Max) {
			return measure.Errorf("plan: the drawn outline spans x %v to %v, y %v to %v (rule 7): it must lie on the stack, x 0 to %v, y ±%v", measure.Length(box.Min.X), measure.Length(box.Max.X), measure.Length(box.Min.Y), measure.Length(box.Max.Y), measure.Length(s.Length), measure.Length(half))
		}
		if ring.Area() < 1 {
			return fmt.Errorf("plan: the drawn outline encloses nothing (rule 7)")
		}
		return nil
	}
	st := s.Plan.Stations
	if len(st) == 0 {
		return nil
	}
	if err := checkStations("plan", st, s.Length); err != nil {
		return fmt.Errorf("%w (rule 7)", err)
	}
	n := len(st)
	if n < 2 {
		return fmt.Errorf("plan: one station (rule 7): give at least a start and an end")
	}
	for i, p := range st {
		if p.Value > half+closeEnough {
			return measure.Errorf("plan, station %d: half-breadth %v is more than half the stack, %v (rule 7)", i+1, measure.Length(p.Value), measure.Length(half))
		}
		if p.Value < 0 || p.Value == 0 && i > 0 && i < n-1 {
			return measure.Errorf("plan, station %d: half-breadth %v (rule 7): it must be above 0; only an end may be 0", i+1, measure.Length(p.Value))
		}
	}
	if n == 2 && (st[0].Value == 0 && st[1].Value == 0 || s.Plan.StartRounded && s.Plan.EndRounded) {
		return fmt.Errorf("plan: between two ends of half-breadth 0 give a station (rule 7)")
	}
	if s.Plan.StartRounded && st[0].Value != 0 || s.Plan.EndRounded && st[n-1].Value != 0 {
		return fmt.Errorf("plan: a rounded end needs half-breadth 0 at its station (rule 7)")
	}
	return nil
}

func (s *Slab) checkProfile() error {
	for _, f := range []struct {
		what string
		list []Station
	}{{"profile top", s.Profile.Top}, {"profile bottom", s.Profile.Bottom}} {
		if err := checkStations(f.what, f.list, s.Length); err != nil {
			return fmt.Errorf("%w (rule 8)", err)
		}
	}
	if len(s.Profile.Top) == 0 {
		return fmt.Errorf("profile: no top given (rule 8): give the height of the top face above the bench at one station or more")
	}
	least, at := s.leastThickness(0, s.Length)
	if !(least > 0) {
		return measure.Errorf("profile: at %v the top (%v) is not above the bottom (%v) (rule 8)", measure.Length(at), measure.Length(s.TopAt(at)), measure.Length(s.BottomAt(at)))
	}
	if e := s.Edge; !(e.TopChamfer >= 0) || !(e.BottomChamfer >= 0) || e.TopRadius > 0 && e.TopChamfer > 0 || e.BottomRadius > 0 && e.BottomChamfer > 0 {
		return measure.Errorf("edge: radii %v and %v, chamfers %v and %v (rule 9): each must be at least 0, and a face has a radius or a chamfer, not both", measure.Length(e.TopRadius), measure.Length(e.BottomRadius), measure.Length(e.TopChamfer), measure.Length(e.BottomChamfer))
	} else if !(e.top().size+e.bottom().size <= least+closeEnough) && e.TopChamfer+e.BottomChamfer > 0 {
		return measure.Errorf("edge: %v (top) and %v (bottom) (rule 9): together they must fit in the least thickness, %v", measure.Length(e.top().size), measure.Length(e.bottom().size), measure.Length(least))
	}
	if r := s.Edge; !(r.TopRadius >= 0) || !(r.BottomRadius >= 0) || !(r.TopRadius+r.BottomRadius <= least+closeEnough) {
		return measure.Errorf("edge: radii %v (top) and %v (bottom) (rule 9): both must be at least 0 and together fit in the least thickness, %v", measure.Length(r.TopRadius), measure.Length(r.BottomRadius), measure.Length(least))
	}
	return nil
}

func (s *Slab) checkObstacles() error {
	if len(s.Chambers) > most*mostPieces || len(s.Fasteners) > most*mostPieces || len(s.Flaws) > mostPieces {
		return fmt.Errorf("slab: too many chambers, fasteners or flaws")
	}
	ring := s.Outline().Polygon(0.01)
	bands := s.bands()
	inside := map[float64][]span{} // the outline along lines of equal y
	within := func(y, from, to float64) ([]span, bool) {
		spans, ok := inside[y]
		if !ok {
			spans = crossings(ring, y)
			inside[y] = spans
		}
		return spans, slices.ContainsFunc(spans, func(g span) bool { return g.from <= from+atEdge && to <= g.to+atEdge })
	}
	lastOf := map[int][]int{}
	for i, c := range s.Chambers {
		name := s.chamberName(i)
		if c.Strip < 0 || c.Strip >= len(s.Strips) {
			return fmt.Errorf("%s: strip %d (rule 10): the slab has strips 1 to %d", name, c.Strip+1, len(s.Strips))
		}
		if !(c.To > c.From) || !finite(c.To-c.From) {
			return measure.Errorf("%s: from %v to %v (rule 10): it must have a length", name, measure.Length(c.From), measure.Length(c.To))
		}
		if !(c.TopSkin > 0) || !(c.BottomSkin > 0) || !finite(c.TopSkin+c.BottomSkin) {
			return measure.Errorf("%s: skins %v (top) and %v (bottom) (rule 10): both must be above 0", name, measure.Length(c.TopSkin), measure.Length(c.BottomSkin))
		}
		if c.State != Planned && c.State != Cut {
			return fmt.Errorf("%s: state %q (rule 10): give %q or %q", name, c.State, Planned, Cut)
		}
		y0, y1 := bands[c.Strip], bands[c.Strip+1]
		hair := min(atEdge, (y1-y0)/4)
		for _, y := range [2]float64{y0 + hair, y1 - hair} {
			if spans, ok := within(y, c.From, c.To); !ok {
				where := "nowhere"
				args := []any{name, measure.Length(c.From), measure.Length(c.To), measure.Length(y)}
				for k, g := range spans {
					if k == 0 {
						where = "%v to %v"
					} else {
						where += " and %v to %v"
					}
					args = append(args, measure.Length(g.from), measure.Length(g.to))
				}
				return measure.Errorf("%s: from %v to %v leaves the slab's outline, outside it at y = %v (rule 10): there the wood runs "+where, args...)
			}
		}
		if least, at := s.leastThickness(c.From, c.To); least <= c.TopSkin+c.BottomSkin {
			return measure.Errorf("%s: at %v the slab is %v thick, no more than its two skins (rule 10)", name, measure.Length(at), measure.Length(least))
		}
		for _, k := range lastOf[c.Strip] {
			if d := s.Chambers[k]; c.From < d.To && d.From < c.To {
				return fmt.Errorf("%s overlaps %s (rule 10)", name, s.chamberName(k))
			}
		}
		lastOf[c.Strip] = append(lastOf[c.Strip], i)
	}
	for i, f := range s.Fasteners {
		name := fastenerName(f, i)
		if l := f.Direction.Len(); !(math.Abs(l-1) < 1e-6) {
			return fmt.Errorf("%s: direction of length %g (rule 11): give the way it was driven", name, l)
		}
		if !finite(f.At.X+f.At.Y+f.At.Z) || !(f.Length > 0 && f.Length <= longest) || !(f.Shank > 0 && f.Shank <= longest) || !(f.Head >= 0 && f.Head <= longest) || !(f.Pilot >= 0 && f.Pilot <= longest) || !(f.PilotDepth >= 0 && f.PilotDepth <= longest) {
			return measure.Errorf("%s: length %v, shank %v, head %v, pilot %v (rule 11): length and shank must be above 0, the others at least 0", name, measure.Length(f.Length), measure.Length(f.Shank), measure.Length(f.Head), measure.Length(f.Pilot))
		}
	}
	place := func(name string, at geom.Point, radius float64, ring geom.Polygon) error {
		if len(ring) > 0 && len(ring) < 3 || len(ring) > mostPieces {
			return fmt.Errorf("%s: a ring of %d points (rule 12): give 3 to %d", name, len(ring), mostPieces)
		}
		for _, q := range ring {
			if !q.Finite() {
				return fmt.Errorf("%s: a point that is not a number (rule 12)", name)
			}
		}
		if len(ring) == 0 && (!(radius > 0 && radius <= longest) || !at.Finite()) {
			return measure.Errorf("%s: radius %v (rule 12): it must be above 0", name, measure.Length(radius))
		}
		return nil
	}
	for i, f := range s.Fittings {
		name := fittingName(f, i)
		if err := place(name, f.At, f.Radius, f.Ring); err != nil {
			return err
		}
		if !(f.Mass >= 0) || math.IsInf(f.Mass, 1) {
			return fmt.Errorf("%s: mass %g g (rule 12): it must be at least 0", name, f.Mass)
		}
	}
	for i, f := range s.Flaws {
		name := flawName(f, i)
		if err := place(name, f.At, f.Radius, f.Ring); err != nil {
			return err
		}
		if !finite(f.From) || !finite(f.To) {
			return fmt.Errorf("%s: heights that are not numbers (rule 12)", name)
		}
	}
	return nil
}

func (s *Slab) chamberName(i int) string {
	if n := s.Chambers[i].Name; n != "" {
		return n
	}
	return fmt.Sprintf("chamber %d", i+1)
}

func fastenerName(f Fastener, i int) string {
	if f.Name != "" {
		return f.Name
	}
	return fmt.Sprintf("fastener %d", i+1)
}

func flawName(f Flaw, i int) string {
	if f.Name != "" {
		return f.Name
	}
	if f.Kind != "" {
		return fmt.Sprintf("%s %d", f.Kind, i+1)
	}
	return fmt.Sprintf("flaw %d", i+1)
}

func fittingName(f Fitting, i int) string {
	if f.Name != "" {
		return f.Name
	}
	if f.Kind != "" {
		return fmt.Sprintf("%s %d", f.Kind, i+1)
	}
	return fmt.Sprintf("fitting %d", i+1)
}

// leastThickness is the least TopAt − BottomAt over [x0, x1] and where, exact
// to rounding: between the stations of both the difference is one cubic.
func (s *Slab) leastThickness(x0, x1 float64) (least, at float64) {
	least = math.Inf(1)
	look := func(x float64) {
		if h := s.TopAt(x) - s.BottomAt(x); h < least {
			least, at = h, x
		}
	}
	cuts := s.profileCuts(x0, x1)
	for i, x := range cuts {
		look(x)
		if i+1 == len(cuts) {
			break
		}
		for _, z := range s.thicknessPiece(x, cuts[i+1]).level() {
			look(z)
		}
	}
	return least, at
}

// profileCuts are x0, x1 and the stations of both profiles between, sorted.
func (s *Slab) profileCuts(x0, x1 float64) []float64 {
	cuts := append(make([]float64, 0, len(s.Profile.Top)+len(s.Profile.Bottom)+2), x0)
	cuts = Spline(s.Profile.Top).knots(cuts, x0, x1)
	cuts = Spline(s.Profile.Bottom).knots(cuts, x0, x1)
	return sortedUnique(append(cuts, x1))
}

// thicknessPiece is the thickness over [x0, x1], which must lie between two
// stations, as one cubic.
func (s *Slab) thicknessPiece(x0, x1 float64) cubic {
	m := (x0 + x1) / 2
	t, b := Spline(s.Profile.Top).over(m), Spline(s.Profile.Bottom).over(m)
	return cubic{x0, x1 - x0, t.at(x0) - b.at(x0), t.at(x1) - b.at(x1), t.slope(x0) - b.slope(x0), t.slope(x1) - b.slope(x1)}
}
