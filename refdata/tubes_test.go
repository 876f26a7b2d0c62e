package refdata_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.org/holdfast/refdata"
)

// readRows reads a table of testdata; its head says where it comes from.
func readRows(t *testing.T, name string) (rows []map[string]string) {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(all), err)
	}
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, column := range all[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func parse(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// ASTM B280 as printed: outside and inside diameter, wall, bore and working
// pressure at 150 °F. One inside diameter is a misprint: 3/16 has 0.128 where
// outside less two walls is 0.127, and its bore of 0.0129 square inches goes with the misprint.
func TestTubesAreThoseOfB280(t *testing.T) {
	const inch, psi = 0.0254, 6894.757293168361
	tubes := refdata.Tubes()
	rows := readRows(t, "acr_copper_tube_b280.csv")
	if len(rows) != len(tubes) {
		t.Fatalf("%d tubes, the table has %d", len(tubes), len(rows))
	}
	for i, row := range rows {
		tube := tubes[i]
		if tube.Size != row["size_in"] || tube.Drawn != (row["temper"] == "D") {
			t.Fatalf("tube %d is %s, the table has %s %s", i, tube.Size, row["size_in"], row["temper"])
		}
		out, wall := parse(t, row["OD_in"]), parse(t, row["wall_in"])
		if math.Abs(tube.Outside/inch-out) > 1e-9 || math.Abs(tube.Inside/inch-(out-2*wall)) > 1e-9 {
			t.Errorf("%s: %g and %g inch, the table has %g and walls of %g", tube.Size, tube.Outside/inch, tube.Inside/inch, out, wall)
		}
		if bore := math.Pi / 4 * math.Pow(tube.Inside/inch, 2); tube.Size != "3/16" && math.Abs(bore/parse(t, row["bore_in2"])-1) > 0.01 {
			t.Errorf("%s: bore %.4f square inches, the table has %s", tube.Size, bore, row["bore_in2"])
		}
		rated := 0.0
		if text := row["pub_psi_150F"]; text != "" {
			rated = parse(t, text)
		}
		if math.Abs(tube.Rated66/psi-rated) > 1e-6 {
			t.Errorf("%s: rated %g psi, the table has %g", tube.Size, tube.Rated66/psi, rated)
		}
	}
}

// The bores of the trade's catalogues and charts, in inches as they print them.
func TestCapillariesAreThoseOfTheCatalogues(t *testing.T) {
	rows := readRows(t, "capillary_bores.csv")
	capillaries := refdata.Capillaries()
	if len(rows) != len(capillaries) {
		t.Fatalf("%d bores, the catalogues have %d", len(capillaries), len(rows))
	}
	for i, row := range rows {
		if want := parse(t, row["in"]) * 0.0254; math.Abs(capillaries[i].Bore-want) > 1e-9 {
			t.Errorf("bore %d is %g m, the catalogues have %g", i, capillaries[i].Bore, want)
		}
	}
}
