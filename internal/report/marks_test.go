package report_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/report"
)

// A mark that was entered in the job file while a hold ran stands in the chart and in the list of that
// hold, and marks that crowd do not write over each other.
func TestMarksOfTheJobStandInTheHoldTheyFellIn(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"job.toml", "evaporator-1.jsonl"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "job", name))
		if err != nil {
			t.Fatal(err)
		}
		if name == "job.toml" {
			text = append(text, "\n[[hold]]\nfile = \"evaporator-1.jsonl\"\nsection = \"evaporator\"\n"+
				"\n[[mark]]\ntime = 2026-03-02T12:40:00Z\nwhat = \"tapped\"\njoint = \"e1\"\n"+
				"\n[[mark]]\ntime = 2026-03-02T12:40:20Z\nwhat = \"note\"\nsection = \"evaporator\"\ntext = \"wind from the door\"\n"+
				"\n[[mark]]\ntime = 2026-03-02T12:41:00Z\nwhat = \"soaped\"\njoint = \"c2\"\n"...) // of another section
		}
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	r, err := job.Read(filepath.Join(dir, "job.toml"))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := report.WriteHTML(&b, report.OfJob(r)); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, row := range []string{`<td>1</td><td>12:40:00</td><td>tapped e1</td>`, `<td>2</td><td>12:40:20</td><td>evaporator wind from the door</td>`} {
		if !strings.Contains(page, row) {
			t.Errorf("no row %s", row)
		}
	}
	flags := regexp.MustCompile(`<line class="flag" x1="[0-9.]+" x2="[0-9.]+" y1="([0-9.]+)"`).FindAllStringSubmatch(page, -1)
	if len(flags) != 3 || flags[0][1] == flags[1][1] { // the third explains it, below the chart
		t.Errorf("two marks 20 s apart are drawn as %v", flags)
	}
}
