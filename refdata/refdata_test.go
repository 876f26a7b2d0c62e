package refdata_test

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"example.org/holdfast/refdata"
)

// tables lists everything the package gives; a new table must be added here
// (TestEveryTableIsListed sees to that).
func tables() map[string]any {
	return map[string]any{
		"MolarGasConstant":   refdata.MolarGasConstant(),
		"Gases":              refdata.Gases(),
		"Refrigerants":       refdata.Refrigerants(),
		"Water":              refdata.Water(),
		"Ice":                refdata.Ice(),
		"Tubes":              refdata.Tubes(),
		"Capillaries":        refdata.Capillaries(),
		"CompressorCeilings": refdata.CompressorCeilings(),
		"TypeTests":          refdata.TypeTests(),
		"DesignTemperatures": refdata.DesignTemperatures(),
		"ServicePressures":   refdata.ServicePressures(),
		"Acceptances":        refdata.Acceptances(),
		"DomesticLoss":       refdata.DomesticLoss(),
		"RubberHose":         refdata.RubberHose(),
		"SensorSpans":        refdata.SensorSpans(),
		"OtherTubes":         refdata.OtherTubes(),
		"CompressorShell":    refdata.CompressorShell(),
		"Drier":              refdata.Drier(),
		"PlateChannels":      refdata.PlateChannels(),
		"TubeTolerances":     refdata.TubeTolerances(),
		"Cautions":           refdata.Cautions(),
		"CautionsOf":         refdata.CautionsOf(refdata.Vacuum),
		"VacuumAcceptances":  refdata.VacuumAcceptances(),
	}
}

func TestEveryValueHasASource(t *testing.T) {
	for name, table := range tables() {
		for _, fault := range uncited(name, reflect.ValueOf(table), false) {
			t.Error(fault)
		}
	}
}

// TestUncitedValuesAreFound makes sure that the walk above can fail at all.
func TestUncitedValuesAreFound(t *testing.T) {
	good := refdata.Cite{Kind: refdata.Memory, Source: "a", Locator: "b"}
	for name, v := range map[string]any{
		"bare number":     struct{ X float64 }{1},
		"bare slice":      struct{ X []float64 }{[]float64{1}},
		"empty cite":      refdata.Value{V: 1},
		"no locator":      refdata.Value{V: 1, Cite: refdata.Cite{Kind: refdata.Memory, Source: "a"}},
		"no source":       refdata.Value{V: 1, Cite: refdata.Cite{Kind: refdata.Memory, Locator: "b"}},
		"unknown kind":    refdata.Value{V: 1, Cite: refdata.Cite{Kind: "guess", Source: "a", Locator: "b"}},
		"one bad in many": []refdata.Value{{V: 1, Cite: good}, {V: 2}},
		"not a number":    refdata.Value{V: math.NaN(), Cite: good},
	} {
		if len(uncited(name, reflect.ValueOf(v), false)) == 0 {
			t.Errorf("%s: accepted", name)
		}
	}
	if got := uncited("good", reflect.ValueOf(refdata.Value{V: 1, Cite: good}), false); len(got) != 0 {
		t.Errorf("refused a good value: %v", got)
	}
}

// uncited walks v and names every number that no Cite stands beside or above,
// every Cite that is not complete and every number that is none.
func uncited(path string, v reflect.Value, cited bool) []string {
	var faults []string
	switch v.Kind() {
	case reflect.Float64, reflect.Int:
		if !cited {
			faults = append(faults, path+": number without a source")
		}
		if v.Kind() == reflect.Float64 && (math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0)) {
			faults = append(faults, path+": not a number")
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			faults = append(faults, uncited(fmt.Sprintf("%s[%d]", path, i), v.Index(i), cited)...)
		}
	case reflect.Struct:
		if c, ok := v.Interface().(refdata.Cite); ok {
			return badCite(path, c)
		}
		if f := v.FieldByName("Cite"); f.IsValid() && f.Type() == reflect.TypeFor[refdata.Cite]() {
			cited = true
		}
		for i := range v.NumField() {
			faults = append(faults, uncited(path+"."+v.Type().Field(i).Name, v.Field(i), cited)...)
		}
	}
	return faults
}

func badCite(path string, c refdata.Cite) []string {
	switch {
	case c.Kind != refdata.Published && c.Kind != refdata.Practice && c.Kind != refdata.Memory:
		return []string{fmt.Sprintf("%s: kind %q", path, c.Kind)}
	case c.Source == "":
		return []string{path + ": no source"}
	case c.Locator == "":
		return []string{path + ": no locator"}
	}
	return nil
}

func TestTablesMakeSense(t *testing.T) {
	for _, r := range refdata.Refrigerants() {
		if len(r.Saturation.P) != 23 {
			t.Errorf("%s: %d saturation pressures, want 23 (-40 to 70 °C in steps of 5 K)", r.Name, len(r.Saturation.P))
		}
		for i := 1; i < len(r.Saturation.P); i++ {
			if r.Saturation.P[i] <= r.Saturation.P[i-1] {
				t.Errorf("%s: saturation pressure falls at entry %d", r.Name, i)
			}
		}
	}
	for _, tube := range append(refdata.Tubes(), refdata.OtherTubes()...) {
		if !(tube.Inside > 0.5*tube.Outside && tube.Inside < tube.Outside) {
			t.Errorf("tube %s: inside %g m, outside %g m", tube.Size, tube.Inside, tube.Outside)
		}
	}
}

// TestEveryTableIsListed parses the package and compares its exported
// functions with tables, so that a table cannot escape the check of sources.
func TestEveryTableIsListed(t *testing.T) {
	listed := tables()
	for _, name := range exportedFunctions(t) {
		if _, ok := listed[name]; !ok {
			t.Errorf("table %s is not in the list of tables that are checked", name)
		}
	}
}
