package web

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"

	"slabwright/fret"
	"slabwright/layout/place"
	"slabwright/layout/project"
)

// bench is the project that is open, made ready for many placements. It does
// not change; a file that was edited gives a new bench.
type bench struct {
	project *project.Project
	board   *fret.Plan
	fit     *place.Case
	id      string          // tells one reading of the file from another
	others  []string        // of readings before, which differ by the placement alone
	ofBody  map[string]bool // checks of the body itself, by name
}

func newBench(p *project.Project) (*bench, error) {
	board, err := p.Fret.Plan()
	if err != nil {
		return nil, err
	}
	fit, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
	if err != nil {
		return nil, refusal{Status: 422, Message: err.Error()}
	}
	sum := sha256.Sum256(p.Source.Bytes())
	b := &bench{project: p, board: board, fit: fit, id: hex.EncodeToString(sum[:6]), ofBody: map[string]bool{}}
	for _, k := range p.Body.Check() {
		b.ofBody[k.Name] = true
	}
	return b, nil
}

// read reads the project anew and keeps it, or keeps the one before when it is
// still the same.
func (s *Server) read() (*bench, error) {
	p, err := s.config.Read()
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench != nil && string(s.bench.project.Source.Bytes()) == string(p.Source.Bytes()) {
		return s.bench, nil
	}
	b, err := newBench(p)
	if err != nil {
		return nil, err
	}
	s.bench = b
	return b, nil
}

// follow gives the bench of the same project after its placement was written
// into the file. The wood and the body are what they were, so pages that know
// the bench by its id of before go on with it: one has questions under way
// while it saves, another may be open beside it.
func (b *bench) follow(saved *project.Project) (*bench, error) {
	now, err := newBench(saved)
	if err != nil {
		return nil, err
	}
	now.others = append(slices.Clip(b.others), b.id)
	return now, nil
}

// open is the bench that the page with this id was made from.
func (s *Server) open(id string) (*bench, error) {
	s.mu.Lock()
	b := s.bench
	s.mu.Unlock()
	if b == nil {
		return s.read()
	}
	if id != "" && id != b.id && !slices.Contains(b.others, id) {
		return nil, refusal{Status: 409, Message: "the project has been read anew since this page was made; load the page again"}
	}
	return b, nil
}

// begin is the placement that the page opens with: the file's own, else the
// body in the middle of the slab along its length.
func (b *bench) begin() place.Placement {
	if p := b.project.Placement; p != nil {
		return *p
	}
	return b.fit.Lay(b.middle())
}

// middle lies the body's box on the middle of the slab's, neck along −x.
func (b *bench) middle() place.Placement {
	slab, body := b.project.Slab.Outline().Bounds().Centre(), b.project.Body.Ring.Bounds().Centre()
	p := place.Placement{X: slab.X - body.X, Y: slab.Y - body.Y, Face: place.Top}
	if f := b.project.Wish.Faces; len(f) > 0 {
		p.Face = f[0]
	}
	return p
}

// settled tells whether the placement lies as the slab would lay it, in height
// and tilt, to what a maker could measure.
func (b *bench) settled(p place.Placement) bool {
	const hair = 0.005 // mm; as an angle, over a body's length of half a metre
	q := b.fit.Lay(p)
	return math.Abs(q.Height-p.Height) < hair && math.Abs(q.Pitch-p.Pitch) < hair/500 && math.Abs(q.Roll-p.Roll) < hair/500
}

// describe names the slab in one line.
func (b *bench) describe() string {
	l := b.lengths()
	return fmt.Sprintf("%s long, %s wide, %d strips", l(b.project.Slab.Length), l(b.project.Slab.Width()), len(b.project.Slab.Strips))
}
