package measure

// Area is an area in square millimetres.
type Area float64

// Format shows the area in square centimetres or square inches, to a tenth.
func (a Area) Format(u Unit) string {
	if u == Inches {
		return trimZeros(float64(a)/(25.4*25.4), 1) + " in²"
	}
	return trimZeros(float64(a)/100, 1) + " cm²"
}
