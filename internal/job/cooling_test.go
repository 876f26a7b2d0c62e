package job_test

import (
	"testing"
	"time"

	"example.org/holdfast/internal/job"
)

// A joint that was brazed a while ago may still be warm, and the gas in it falls as it cools.
func TestCoolingAfterAJointWasMade(t *testing.T) {
	at := func(clock string) time.Time {
		v, err := time.Parse(time.RFC3339, "2026-03-02T"+clock+"Z")
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	j := &job.Job{
		Sections: []job.Section{{ID: "a"}, {ID: "b"}, {ID: "all", Parts: []string{"a", "b"}}},
		Joints:   []job.Joint{{ID: "a1", Section: "a", Made: at("08:00:00")}, {ID: "b1", Section: "b"}},
		Marks:    []job.Mark{{Time: at("12:00:00"), What: job.Remade, Joint: "b1", Section: "b"}, {Time: at("13:00:00"), What: job.Tapped, Section: "a"}},
	}
	for _, c := range []struct {
		section, clock string
		want           bool
	}{
		{"b", "12:10:00", true},   // ten minutes after
		{"all", "12:10:00", true}, // of which it is a part
		{"a", "12:10:00", false},  // another part; its own joint is four hours old
		{"a", "08:30:00", true},
		{"b", "11:50:00", false}, // not remade yet
		{"b", "15:00:00", false}, // cold again
		{"a", "13:05:00", false}, // tapping warms nothing
	} {
		if got := j.Cooling(c.section, at(c.clock)); got != c.want {
			t.Errorf("%s at %s: cooling %v, want %v", c.section, c.clock, got, c.want)
		}
	}
}
