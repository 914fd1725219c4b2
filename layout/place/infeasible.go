package place

import "context"

// within is how sharply "nothing fits" is proved, in mm.
const within = 0.01

func (s *search) infeasible(ctx context.Context) *Infeasible {
	return &Infeasible{Proved: s.stopped == ToTheEnd && s.unresolved == 0, Within: within}
}
