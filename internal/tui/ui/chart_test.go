package ui

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
)

func asciiTheme() Theme { return NewTheme(Look{ASCII: true, NoColor: true}) }

func plain(v, step float64) string { return Number(v, StepDecimals(step)) }

// rowsOf gives, for each column of the plot area, the rows (0 = top) where c stands.
func rowsOf(lines []string, left int, c byte) map[int][]int {
	out := map[int][]int{}
	for y, l := range lines {
		for x := left; x < len(l); x++ {
			if l[x] == c {
				out[x-left] = append(out[x-left], y)
			}
		}
	}
	return out
}

// A straight line must stand where arithmetic puts it: from corner to corner.
func TestALineIsWhereItsValuesAre(t *testing.T) {
	p := Plot{W: 51, H: 23, Gutter: 9, X0: 0, X1: 40, Y0: 0, Y1: 20, YTick: plain,
		Lines: []Line{{Pts: []Pt{{0, 0}, {40, 20}}, Char: 'o'}}}
	rows := rowsOf(p.Render(asciiTheme()), 10, 'o')
	for x := range 41 {
		want := 20 - float64(x)/2
		if len(rows[x]) == 0 || math.Abs(float64(rows[x][0])-want) > 1 {
			t.Errorf("column %d: rows %v, want about %v", x, rows[x], want)
		}
	}
}

// The label beside a row must be the value that is drawn in that row.
func TestLabelsStandBesideTheirValues(t *testing.T) {
	for _, h := range []int{7, 10, 23, 40} {
		for _, braille := range []bool{false, true} {
			for _, v := range []float64{10.02, 10.04, 10.06, 10.1} {
				p := Plot{W: 60, H: h, Gutter: 9, X0: 0, X1: 3600, Y0: 9.99, Y1: 10.11, YTick: plain,
					Lines: []Line{{Pts: []Pt{{0, v}, {3600, v}}, Char: 'o'}}}
				lines := p.Render(NewTheme(Look{ASCII: !braille, NoColor: true}))
				for y, l := range lines {
					label, err := strconv.ParseFloat(strings.TrimSpace(ansi.Cut(l, 0, 9)), 64)
					drawn := strings.ContainsAny(ansi.Cut(l, 11, 60), "o⠉⠒⠤⣀")
					if err != nil || y >= h-2 {
						continue
					}
					row := 0.12 / float64(h-2) // height of a row in the unit of the axis
					if label == v && !drawn || drawn && math.Abs(label-v) > row {
						t.Errorf("height %d, braille %v: label %v, a line at %v drawn in its row: %v\n%s", h, braille, label, v, drawn, strings.Join(lines, "\n"))
					}
				}
			}
		}
	}
}

func TestTimeLabelsStandUnderTheirTimes(t *testing.T) {
	p := Plot{W: 110, H: 8, Gutter: 9, X0: 0, X1: 3600, Y0: 0, Y1: 1, YTick: plain,
		Lines: []Line{{Pts: []Pt{{1800, 0}, {1800, 1}}, Char: 'o'}}}
	lines := p.Render(asciiTheme())
	if x, want := strings.Index(lines[7], "30min"), strings.IndexByte(lines[2], 'o'); x < 0 || abs(x-want) > 1 {
		t.Errorf("30min at column %d, the line of that time at %d:\n%s", x, want, strings.Join(lines, "\n"))
	}
}

func abs(v int) int { return max(v, -v) }

// One odd sample among a million must be seen, and the million must not cost more than a frame.
func TestDecimationLosesNoSpike(t *testing.T) {
	n := 1_000_000
	pts := make([]Pt, n)
	for i := range pts {
		pts[i] = Pt{float64(i), 10}
	}
	pts[n/3].Y, pts[2*n/3].Y = 3, 17
	pts[n/2].Y = math.NaN()
	out := decimate(pts, 0, float64(n), 300)
	if len(out) > 1300 {
		t.Errorf("%d points left for 300 columns", len(out))
	}
	lo, hi, gaps := 10.0, 10.0, 0
	for _, p := range out {
		if math.IsNaN(p.Y) {
			gaps++
			continue
		}
		lo, hi = math.Min(lo, p.Y), math.Max(hi, p.Y)
	}
	if lo != 3 || hi != 17 || gaps != 1 {
		t.Errorf("lowest %v, highest %v, %d gaps; want 3, 17, 1", lo, hi, gaps)
	}
}

func TestAGapIsNotBridged(t *testing.T) {
	p := Plot{W: 60, H: 12, Gutter: 9, X0: 0, X1: 100, Y0: 0, Y1: 10, YTick: plain,
		Lines: []Line{{Pts: []Pt{{0, 5}, {40, 5}, {50, math.NaN()}, {60, 5}, {100, 5}}, Char: 'o'}}}
	row := ""
	for _, l := range p.Render(asciiTheme()) {
		if strings.Contains(l, "oooo") {
			row = l
		}
	}
	if mid := strings.Count(ansi.Cut(row, 33, 37), "o"); row == "" || mid != 0 {
		t.Errorf("the gap is drawn over: %q", row)
	}
}

// Whatever the numbers are, a chart has its size and comes back at once.
func TestAnyNumbersGiveAChartOfItsSize(t *testing.T) {
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, 1e300, 0, 5e-324, 1, 9.99, 10.01, -3}
	var pts []Pt
	var band []Span2
	for _, x := range odd {
		for _, y := range odd {
			pts = append(pts, Pt{x, y})
			band = append(band, Span2{x, y, x})
		}
	}
	for _, rng := range [][2]float64{{9.9, 10.1}, {0, 0}, {1, 0}, {math.NaN(), 1}, {0, math.Inf(1)}, {-1e14, 1e14}, {0, 1e-300}} {
		for _, size := range [][2]int{{0, 0}, {1, 1}, {-3, 5}, {5, -3}, {2, 2}, {10, 3}, {14, 3}, {15, 3}, {80, 1}, {80, 2}, {80, 3}, {80, 12}, {200, 50}} {
			for _, noX := range []bool{false, true} {
				p := Plot{W: size[0], H: size[1], Gutter: 9, X0: rng[0], X1: rng[1], Y0: rng[0], Y1: rng[1], YTick: plain, NoX: noX,
					Areas: []Area{{Pts: band}}, Lines: []Line{{Pts: pts, Mark: 'x', Char: 'o'}, {}, {Pts: pts[:1]}},
					Flags: []Flag{{X: 10, Label: "here"}, {X: math.NaN()}}, Notes: []Note{{Y: 10, Text: "note"}, {Y: math.NaN()}}}
				for _, th := range []Theme{asciiTheme(), NewTheme(Look{NoColor: true})} {
					lines := p.Render(th)
					if len(lines) != max(size[1], 0) {
						t.Fatalf("%v range %v: %d lines", size, rng, len(lines))
					}
					for _, l := range lines {
						if Width(l) > max(size[0], 0) {
							t.Fatalf("%v range %v: %q is %d wide", size, rng, l, Width(l))
						}
					}
				}
			}
		}
	}
}

func TestTicksAreRound(t *testing.T) {
	for _, c := range []struct{ v, want float64 }{{0.011, 0.02}, {0.02, 0.02}, {0.03, 0.05}, {0.7, 1}, {3, 5}, {1000, 1000}, {0, 1}, {math.NaN(), 1}} {
		if got := decimalSteps(c.v); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("decimal step for %v is %v, want %v", c.v, got, c.want)
		}
	}
	for _, c := range []struct {
		s    float64
		want string
	}{{0, "0"}, {30, "30s"}, {90, "1:30"}, {600, "10min"}, {3600, "1h"}, {5400, "1h30"}, {-600, "-10min"}, {90000, "25h"}} {
		if got := TimeLabel(c.s); got != c.want {
			t.Errorf("label of %v s is %q, want %q", c.s, got, c.want)
		}
	}
}

func TestBigTextIsAsWideAsItSays(t *testing.T) {
	for _, text := range []string{"", "19.81", "-0.99", "1:47", "+27", "TIGHT", "LEAKING", "UNPROVEN", "no font ?"} {
		for _, tall := range []bool{false, true} {
			for px := 1; px < 4; px++ {
				for _, l := range Big(NewTheme(Look{}), text, px, 2, tall) {
					if Width(l) != BigWidth(text, px, tall) {
						t.Fatalf("%q px %d: %d cells, BigWidth says %d", text, px, Width(l), BigWidth(text, px, tall))
					}
				}
			}
		}
	}
}

// No two characters of a font may look alike, and no digit of the large one may be mistaken for another.
func TestNoTwoCharactersLookAlike(t *testing.T) {
	for name, f := range map[string]func(rune) []string{"small": small, "high": high} {
		seen := map[string]rune{}
		for _, r := range "0123456789.,:-+" {
			k := fmt.Sprint(f(r))
			if o, ok := seen[k]; ok {
				t.Errorf("%s: %c looks like %c", name, r, o)
			}
			seen[k] = r
		}
	}
	seen := map[string]rune{}
	for _, r := range "AEGHIKLNOPRTUV" {
		k := fmt.Sprint(small(r))
		if o, ok := seen[k]; ok {
			t.Errorf("%c looks like %c", r, o)
		}
		seen[k] = r
	}
}

// Text from a device must never reach the terminal as anything but text.
func FuzzClean(f *testing.F) {
	for _, s := range []string{"", "P=12.3", "\x1b[2J", "\x1b]0;title\x07", "a\x00b\x7f", "\u202eabc", "\xff\xfe", "\x9b31m", "tab\tline\r\n", "漢字", "\x1b"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Clean(s, 50)
		if n := len([]rune(got)); n > 50 {
			t.Fatalf("%d characters", n)
		}
		for _, r := range got {
			if r < 0x20 || r >= 0x7f && r < 0xa0 || r == '\u202e' || r == 0xfffd {
				t.Fatalf("%q lets %U through", s, r)
			}
		}
	})
}

func TestWrapAndCutKeepToTheWidth(t *testing.T) {
	for _, s := range []string{"", "a", "two words", strings.Repeat("long", 40), "漢字 漢字 漢字", "a b c d e f g h i j k l m n o p q r s t u v w x y z"} {
		for w := range 30 {
			for _, l := range append(Wrap(s, w, 3), Cut(s, w), Centre(s, w), Sides(s, s, w), Pad(s, w)) {
				if Width(l) > w {
					t.Fatalf("%q in %d cells: %q", s, w, l)
				}
			}
		}
	}
}

func BenchmarkDecimateMillionPoints(b *testing.B) {
	pts := make([]Pt, 1_000_000)
	for i := range pts {
		pts[i] = Pt{float64(i), 10 + math.Sin(float64(i)/1000)}
	}
	for b.Loop() {
		decimate(pts, 0, 1e6, 300)
	}
}

// A chart of a million readings costs under 5 ms a frame, and the one spike in it is drawn.
func BenchmarkAMillionPoints(b *testing.B) {
	pts := make([]Pt, 1e6)
	for i := range pts {
		pts[i] = Pt{X: float64(i), Y: 10 + 0.01*math.Sin(float64(i)/3e4) + 0.001*math.Sin(float64(i)*1.7)}
	}
	pts[345678].Y = 10.5
	p := Plot{W: 200, H: 40, Gutter: 9, X0: 0, X1: 1e6, Y0: 9.9, Y1: 10.6, YTick: plain, Lines: []Line{{Pts: pts, Char: 'o'}}}
	th := NewTheme(Look{NoColor: true})
	var lines []string
	for b.Loop() {
		lines = p.Render(th)
	}
	if top := strings.Join(lines[:8], ""); !strings.ContainsAny(top, "⡇⢸⢀⡀") {
		b.Errorf("the spike is gone:\n%s", strings.Join(lines, "\n"))
	}
}
