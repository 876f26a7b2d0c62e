package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// grid is the compressibility factor of a gas from its reference equation of
// state, computed apart (source in the head of the file): Z by °C and MPa.
type grid map[float64][]point

type point struct{ mpa, z float64 }

func readGrid(t *testing.T, gas string) grid {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "internal", "gas", "testdata", gas+"_Z_density_grid.csv"))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	g := grid{}
	for _, row := range rows[1:] {
		var v [3]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		g[v[0]] = append(g[v[0]], point{v[1], v[2]})
	}
	for _, line := range g {
		slices.SortFunc(line, func(a, b point) int { return int(math.Copysign(1, a.mpa-b.mpa)) })
	}
	return g
}

// z interpolates the grid at one of its temperatures with a cubic.
func (g grid) z(celsius, mpa float64) float64 {
	line := g[celsius]
	above := slices.IndexFunc(line, func(p point) bool { return p.mpa >= mpa })
	line = line[min(max(above-2, 0), len(line)-4):][:4]
	return cubic(mpa, line)
}

// cubic is Lagrange's polynomial through the points.
func cubic(x float64, line []point) (sum float64) {
	for i, p := range line {
		for j, q := range line {
			if i != j {
				p.z *= (x - q.mpa) / (p.mpa - q.mpa)
			}
		}
		sum += p.z
	}
	return sum
}

// sealed is the pressure in Pa of a closed, tight section against its
// temperature, which was at mpa when it had 20 °C: constant density.
func (g grid) sealed(mpa float64) func(celsius float64) float64 {
	density := mpa / (g.z(20, mpa) * 293.15)
	var line []point // of MPa by °C
	for _, c := range []float64{10, 15, 20, 25, 30} {
		p := mpa
		for range 100 {
			p = density * g.z(c, p) * (c + 273.15)
		}
		line = append(line, point{c, p})
	}
	return func(c float64) float64 { return 1e6 * cubic(c, line) }
}

// judgedRate writes two hours of a tight section whose room goes from one
// temperature to the other, with a thermometer on the part, and judges it with the gas named.
func judgedRate(t *testing.T, g grid, as string, from, to float64) (value, lo, hi float64) {
	t.Helper()
	p := g.sealed(2.1)
	var b strings.Builder
	b.WriteString("elapsed_s,pressure_pa_abs,ambient_c,section_c\n")
	for s := 0.0; s <= 7200; s += 5 {
		c := from + (to-from)*s/7200
		fmt.Fprintf(&b, "%g,%.1f,%.4f,%.4f\n", s, p(c)+50*math.Sin(s), c, c)
	}
	file := filepath.Join(t.TempDir(), "hold.csv")
	if err := os.WriteFile(file, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, complaints bytes.Buffer
	run([]string{"judge", "--json", "--gas", as, "--limit", "0.25%/h", file}, os.Getenv, strings.NewReader(""), &out, &complaints)
	var j struct {
		Gas  string
		Rate *struct{ Value, Lo, Hi float64 } `json:"rate_pa_per_h"`
	}
	if err := json.Unmarshal(out.Bytes(), &j); err != nil || j.Rate == nil {
		t.Fatalf("%v: %s%s", err, out.String(), complaints.String())
	}
	return j.Rate.Value, j.Rate.Lo, j.Rate.Hi
}

// The whole program on sealed sections of each gas, pressures from the reference
// equations of state: told the right gas it finds no leak in a room that moves by
// 10 K in two hours, either way.
func TestTheRightGasFindsNoLeakInItsIsochore(t *testing.T) {
	for gas, name := range map[string]string{"argon": "argon", "co2": "CO2", "helium": "helium", "air": "dry air", "nitrogen": "nitrogen"} {
		t.Run(gas, func(t *testing.T) {
			t.Parallel()
			g := readGrid(t, gas)
			for _, way := range [][2]float64{{15, 25}, {25, 15}} {
				rate, lo, hi := judgedRate(t, g, name, way[0], way[1])
				if lo > 0 || hi < 0 || math.Abs(rate) > 100 {
					t.Errorf("from %g to %g °C: %.0f Pa/h (%.0f to %.0f), want none", way[0], way[1], rate, lo, hi)
				}
			}
		})
	}
}

// Told a gas that answers temperature otherwise, it finds a leak that is not
// there. The false rate is the difference of (T/p)(dp/dT), by the same
// equations at 21 bar and 20 °C (nitrogen 1.051, CO2 1.321, helium 0.999), times
// what 10 K are of 293 K, of 21 bar in two hours. Argon (1.054) and air (1.052)
// answer nearly as nitrogen does: there the confusion costs little.
func TestTheWrongGasMakesAFalseLeak(t *testing.T) {
	const perUnit = 10.0 / 293.15 * 2.1e6 / 2 // Pa/h
	for _, c := range []struct {
		gas, as  string
		from, to float64
		want     float64 // Pa/h
	}{
		{"co2", "nitrogen", 25, 15, 0.270 * perUnit},
		{"nitrogen", "CO2", 15, 25, 0.270 * perUnit},
		{"helium", "nitrogen", 15, 25, 0.052 * perUnit},
		{"helium", "CO2", 15, 25, 0.322 * perUnit},
		{"argon", "nitrogen", 25, 15, 0.003 * perUnit},
		{"air", "nitrogen", 25, 15, 0.001 * perUnit},
	} {
		t.Run(c.gas+" taken for "+c.as, func(t *testing.T) {
			t.Parallel()
			rate, lo, _ := judgedRate(t, readGrid(t, c.gas), c.as, c.from, c.to)
			if math.Abs(rate-c.want) > 150+0.1*c.want {
				t.Errorf("%.0f Pa/h, want %.0f", rate, c.want)
			}
			if c.want > 5000 && lo <= 0 {
				t.Errorf("%.0f Pa/h is not seen: lower end %.0f", rate, lo)
			}
		})
	}
}
