package nmea

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/drivertest"
)

const fields = "LINE=pressure_bar_abs,TEMP=ambient_c,BARO=barometer_hpa"

func mustNew(t testing.TB, fields string) drivers.Driver {
	t.Helper()
	d, err := New(Config{Fields: fields})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// said gives the readings of one sentence, a line end before it.
func said(t testing.TB, fields, sentence string) []drivers.Reading {
	all, _ := drivertest.Readings(t.Context(), mustNew(t, fields).Source(drivertest.Play(drivertest.Stream([]byte("\n"+sentence+"\r\n")), drivertest.Faults{})))
	return all
}

func TestConformance(t *testing.T) {
	d := mustNew(t, fields)
	capture := drivertest.Load(t, "testdata/station.capture")
	drivertest.Conform(t, d, capture)
	all, _ := drivertest.Readings(t.Context(), d.Source(drivertest.Play(capture, drivertest.Faults{})))
	good := drivertest.Good(all)
	if len(good) != 5 || len(all) != 6 || good[1].Pressure != 1098400 || math.Abs(float64(good[0].Barometer)-102412) > 1e-6 {
		for _, r := range all {
			t.Log(drivertest.Describe(r))
		}
		t.Error("want five readings and a doubt")
	}
}

// The sentence and its checksum stand in the documents of a public weather instrument as an example of XDR.
func TestThePublishedExample(t *testing.T) {
	all := said(t, "TEMP=ambient_c,BARO=barometer_hpa", "$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5E")
	if len(all) != 1 || all[0].Doubt != "" || math.Abs(all[0].Ambient.Celsius()-24.59) > 1e-9 || math.Abs(float64(all[0].Barometer)-102412) > 1e-6 {
		t.Errorf("%+v", all)
	}
}

func TestWhatIsSpoiltIsADoubt(t *testing.T) {
	for _, c := range []struct{ text, doubt string }{
		{"$WIXDR,C,24.58,C,TEMP,P,1.02412,B,BARO*5E", "checksum is wrong"},
		{"$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO", "without a checksum"},
		{"$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5", "checksum is wrong"},
		{"ets Jul 29", "not an NMEA sentence"},
		{"$WIXDR,C,24.59,C*" + sum("WIXDR,C,24.59,C"), "groups of four"},
		{"$WIXDR,C,1e999,C,TEMP*" + sum("WIXDR,C,1e999,C,TEMP"), "no usable number"},
		{"$WIXDR,C,75.1,F,TEMP*" + sum("WIXDR,C,75.1,F,TEMP"), "unit \"F\""},
		{"$WIXDR,C,990,C,TEMP*" + sum("WIXDR,C,990,C,TEMP"), "outside"},
	} {
		all := said(t, fields, c.text)
		if len(all) != 1 || !strings.Contains(all[0].Doubt, c.doubt) || !math.IsNaN(float64(all[0].Ambient)) {
			t.Errorf("%q: %+v, want %q", c.text, all, c.doubt)
		}
	}
}

func sum(body string) string {
	const digits = "0123456789ABCDEF"
	c := checksum(body)
	return string([]byte{digits[c>>4], digits[c&15]})
}

func TestOtherSentencesPassBy(t *testing.T) {
	for _, body := range []string{"GPGGA,,,,,,0,,,,,,,,", "WIXDR,A,1,D,ROLL", "WIXDR,C,,C,TEMP"} {
		if all := said(t, fields, "$"+body+"*"+sum(body)); len(all) != 0 {
			t.Errorf("%q: %+v", body, all)
		}
	}
}

func FuzzSentence(f *testing.F) {
	f.Add("$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5E")
	f.Add("$*00")
	f.Fuzz(func(t *testing.T, text string) {
		for _, r := range said(t, fields, text) {
			if r.Doubt == "" && (r.Pressure < 0 || r.Pressure > 1e8 || float64(r.Ambient) > 450) {
				t.Errorf("%q: %s", text, drivertest.Describe(r))
			}
		}
	})
}
