package gas_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// record is one row of a table, by column name.
type record map[string]string

// num is NaN where there is no number: then no comparison holds and the test fails.
func (r record) num(column string) float64 {
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// readTable reads a table of testdata; its head says where the values come from.
func readTable(t *testing.T, name string) []record {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 {
		t.Fatalf("%s: no rows", name)
	}
	var out []record
	for _, row := range rows[1:] {
		m := record{}
		for i, column := range rows[0] {
			m[column] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// near fails unless got is within a relative tolerance of want; NaN fails.
func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.8g, want %.8g within %.1g", what, got, want, relative)
	}
}
