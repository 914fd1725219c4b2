package project

import "testing"

// BenchmarkParse reads the demo: text, checks, and every engine's part.
func BenchmarkParse(b *testing.B) {
	text, err := shipped.ReadFile("demo.toml")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Parse("demo.toml", text, nil); err != nil {
			b.Fatal(err)
		}
	}
}
