package units_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// table reads a testdata file with a header row, lines starting with # left
// out, and gives every row as a map from column to field.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		fields := make(map[string]string)
		for i, key := range rows[0] {
			fields[key] = row[i]
		}
		out = append(out, fields)
	}
	return out
}

// number reads a field of a table.
func number(t *testing.T, field string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(field, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
