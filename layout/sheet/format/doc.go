// Package format answers: how does a drawing become a file?
//
// One file a format. SVG and DXF take a Scene, whole, at full size, in its own
// frame; PNG takes a Scene or a Page; PDF takes a Document of Pages. All
// writers give the same bytes for the same drawing, on every run.
//
// What is kept in every format: millimetres at 1:1, one layer or group per
// kind, ends of lines cut square (a butt end does not lengthen a line).
//
//	            layers      fills, hatch   curves                y
//	SVG         <g id>      yes            cubic Béziers         down: y is negated
//	DXF (R12)   LAYER       outlines only  chords within 0.01 mm up
//	PDF (1.7)   OCG         yes            cubic Béziers         up
//	PNG         -           yes            pixels                down
package format
