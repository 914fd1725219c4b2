// Package sheet answers: what does the maker lay on the wood?
//
// A Scene is one drawing in one frame: items on named layers, everything in
// millimetres at full size, y up. The same Scene goes to the screen, to SVG,
// to DXF, and by Tile onto sheets of paper that a printer can take, so that
// screen and paper cannot disagree. Package format, below this one, writes
// Scenes and Documents to files; nothing here knows a file format.
//
// The ideas, in the order in which one needs them:
//
//   - An Item is a Shape (Path, Circle or Text) on a Layer, with the ink it is
//     drawn in. Items are painted layer by layer in the order of Layers, and
//     within a layer in the order in which they were added. An Item may carry
//     an ID, a Class and a Title, by which the page picks and explains it.
//   - Text heights are the height of a capital letter, as on a drawing made by
//     hand and as DXF wants it. Widths come from the Go fonts, which PDF and
//     PNG embed; other fonts differ a little.
//   - Labels finds free places for words, so that no two of them overlap.
//   - A Page is paper: furniture in the page's own frame (origin in the lower
//     left corner, y up) and windows (View) through which a Scene is seen 1:1.
//   - Tile cuts a Scene into the fewest Pages of a Paper: see tile.go.
//
// The drawings, each in a file of its own:
//
//   - slab.go: Wood (without words, for the page), SlabPlan, SlabSide and
//     StackEnd; chambers.go: ChamberSheet and MarkingList for each hollowed
//     strip; edge.go: EdgeSection and EdgeSheet;
//   - overlay.go: Overlay and its PlacementOverlay, to lay on the wood, Placed
//     (without words, for the page) and Around (the part worth printing);
//     side.go: the same from the side; planing.go: PlaningMap and
//     PlaningPicture (for the page);
//   - body.go: BodyTemplate, front and back, with its lists; cavity.go: a
//     template of each cavity;
//   - neck.go: Fretboard, NeckPlan, NeckSide and Headstock; carving.go: NeckCarving.
//
// Items of drawings for the page keep these IDs: slab-outline, cell-N (a piece
// of wood), glue-line-N-M, chamber-N, fastener-N, flaw-N, body-outline,
// body-back, kerf, cavity-N, hole-N, contour-N, fretboard, nut, fret-N,
// string-N, saddle-line, centreline, failed-N (the place of a failed check).
//
// A drawing of the bottom face is made as seen from below: its y is the slab's
// y with the sign turned, and its Frame says so.
package sheet
