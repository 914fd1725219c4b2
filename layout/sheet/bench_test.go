package sheet_test

import (
	"bytes"
	"testing"

	"slabwright/layout/sheet"
	"slabwright/layout/sheet/format"
)

// Benchmarks on the demo: what the page asks for at every move, and what a
// print asks for once.
func BenchmarkPlacedForThePage(b *testing.B) {
	o := samples(b)["demo"]
	for b.Loop() {
		var out bytes.Buffer
		if err := format.InlineSVG(&out, o.Placed(), "p-"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPlacementOverlay(b *testing.B) {
	o := samples(b)["demo"]
	for b.Loop() {
		o.PlacementOverlay()
	}
}

func BenchmarkTileOverlayOnA4(b *testing.B) {
	s := samples(b)["demo"].PlacementOverlay()
	for b.Loop() {
		if _, err := sheet.TilePages(s, sheet.TileOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPDFOfOverlayOnA4(b *testing.B) {
	pages, err := sheet.TilePages(samples(b)["demo"].PlacementOverlay(), sheet.TileOptions{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		var out bytes.Buffer
		if err := format.PDF(&out, sheet.Document{Title: "demo", Pages: pages}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDXFOfOverlay(b *testing.B) {
	s := samples(b)["demo"].PlacementOverlay()
	for b.Loop() {
		var out bytes.Buffer
		if err := format.DXF(&out, s); err != nil {
			b.Fatal(err)
		}
	}
}
