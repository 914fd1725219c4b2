// Package web answers: how does a maker see and steer the placement by hand?
//
// It serves one local page. The page shows the slab with its woods and the
// instrument on it to scale, takes a placement from mouse, touch, keyboard or
// fields, and shows what the engines say of it. Nothing is decided here:
// every handler reads and checks its input, asks a room above, and renders
// the answer.
//
//   - server.go    New, Open, URL, Close
//   - routes.go    every route, as a table of contents
//   - guard.go     who may ask: this machine only, from this page only
//   - error.go     the one way in which a request fails
//   - bench.go     the project that is open, made ready for placing
//   - reading.go   what a request says, and the placement in it
//   - one file for every page or answer: page, drawing, verdict, search, save,
//     print, frets
//
// Lengths and angles come in as a maker writes them ("25 1/2 in", "1.5°"),
// bare numbers in the project's unit and in degrees. Answers carry both the
// bare number, its unit in its name (x_mm, angle_deg), and the words to show.
//
// A GET changes nothing. What changes something, or takes long, is a POST.
package web
