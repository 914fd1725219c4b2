package outline

// How corners are eased, for the laws of the families.
const (
	EaseRadius = easeRadius
	EaseDepth  = easeDepth
)
