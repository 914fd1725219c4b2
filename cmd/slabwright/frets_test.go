package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// run calls the program as a maker would.
func run(t *testing.T, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	status = Run(context.Background(), args, bytes.NewReader(nil), &out, &err)
	return status, out.String(), err.String()
}

// TestFretsAgainstTable compares "frets --json" with every row of a table of
// positions that was computed with 50 decimal digits (its source column), to
// the last digit that the table gives.
func TestFretsAgainstTable(t *testing.T) {
	f, err := os.Open("../../testdata/music/fret_positions.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	byScale := map[string][][]string{}
	for _, r := range rows[1:] {
		scale := r[column["scale_mm"]]
		byScale[scale] = append(byScale[scale], r)
	}
	require.NotEmpty(t, byScale)
	for scale, rows := range byScale {
		status, out, errs := run(t, "frets", "--scale", scale+" mm", "--count", strconv.Itoa(len(rows)), "--json")
		require.Zero(t, status, errs)
		var got struct {
			Scale float64 `json:"scale_mm"`
			Frets []struct {
				Fret     int     `json:"fret"`
				Nut      float64 `json:"from_nut_mm"`
				Previous float64 `json:"from_previous_mm"`
				Saddle   float64 `json:"to_saddle_mm"`
			} `json:"frets"`
		}
		require.NoError(t, json.Unmarshal([]byte(out), &got))
		require.Len(t, got.Frets, len(rows))
		for i, r := range rows {
			g := got.Frets[i]
			say := fmt.Sprintf("scale %s mm, fret %d", scale, g.Fret)
			assert.Equal(t, r[column["fret"]], strconv.Itoa(g.Fret), say)
			assert.Equal(t, r[column["from_nut_mm"]], fmt.Sprintf("%.4f", g.Nut), say)
			assert.Equal(t, r[column["from_previous_mm"]], fmt.Sprintf("%.4f", g.Previous), say)
			assert.Equal(t, r[column["from_saddle_mm"]], fmt.Sprintf("%.4f", g.Saddle), say)
			assert.Equal(t, r[column["from_nut_in"]], fmt.Sprintf("%.5f", g.Nut/25.4), say)
		}
	}
}
