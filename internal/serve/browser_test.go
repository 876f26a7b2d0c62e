//go:build unix

package serve

import (
	"context"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// browse opens a page in a headless browser as large as a phone and gives what
// its options make it print. Without a browser the test is skipped, in CI it fails.
func browse(t *testing.T, url string, options ...string) string {
	t.Helper()
	var program string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			program = p
		}
	}
	if program == "" {
		if os.Getenv("HOLDFAST_CI") != "" {
			t.Fatal("no browser: .ci/run must install chromium")
		}
		t.Skip("no chromium on this machine")
	}
	args := append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars", "--no-first-run",
		"--user-data-dir=" + t.TempDir(), "--window-size=390,844"}, options...)
	// Its helpers may outlive it: a file, unlike a pipe, does not wait for them,
	// and they go with the group.
	out, err := os.Create(filepath.Join(t.TempDir(), "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, append(args, url)...)
	cmd.Stdout = out
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	err = cmd.Run()
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) // nobody left is well
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(out.Name())
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// onPhone answers for a server whose event streams end after a moment and ask
// not to be opened again: the browser's virtual time stands still while one is open.
func onPhone(t *testing.T, s *Server) string {
	s.streamFor = time.Second / 2
	return served(t, s) + s.Path()
}

func TestAPhoneShowsVerdictAndPressure(t *testing.T) {
	s := New([]Feed{leakingHold("condenser <b>&")})
	url := onPhone(t, s)
	page := browse(t, url, "--virtual-time-budget=3000", "--dump-dom")
	for _, want := range []string{"<b>LEAKING</b>", "condenser &lt;b&gt;&amp;", `class="reading">14.987 bar gauge`, "connected", "left</p>", `<circle cx="`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q:\n%s", want, page)
		}
	}
	if strings.Contains(page, `class="leaking stale"`) {
		t.Error("fresh readings are shown as old")
	}
}

func TestOldReadingsAreGreyedOut(t *testing.T) {
	f := leakingHold("condenser")
	f.now.Store(2400 + 90)
	s := New([]Feed{f})
	url := onPhone(t, s)
	page := browse(t, url, "--virtual-time-budget=3000", "--dump-dom")
	if !strings.Contains(page, `class="leaking stale"`) || !strings.Contains(page, "last reading 1:3") {
		t.Errorf("the page does not say that its readings are old:\n%s", page)
	}
}

func TestALostConnectionIsSaid(t *testing.T) {
	s := New([]Feed{leakingHold("condenser")})
	url := onPhone(t, s)
	page := browse(t, url, "--virtual-time-budget=12000", "--dump-dom")
	if !strings.Contains(page, "no connection for") || !strings.Contains(page, `<body class="gone">`) || !strings.Contains(page, `class="leaking stale"`) {
		t.Errorf("a silent server is not said:\n%s", page)
	}
}

func TestNothingIsCutOffAtPhoneSize(t *testing.T) {
	s := New([]Feed{leakingHold("bottle cooler, condenser with a long name and the drier behind it")})
	url := onPhone(t, s)
	file := filepath.Join(t.TempDir(), "phone.png")
	browse(t, url, "--virtual-time-budget=3000", "--screenshot="+file)
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if n := inked(img, image.Rect(img.Bounds().Max.X-10, 0, img.Bounds().Max.X, img.Bounds().Max.Y)); n > 0 {
		t.Errorf("%d pixels in the right margin are not empty", n)
	}
	if n := inked(img, image.Rect(16, 100, 374, 200)); n < 1000 {
		t.Errorf("only %d pixels where the verdict stands", n)
	}
}

// inked counts the pixels of a rectangle that differ from the top left corner.
func inked(img image.Image, r image.Rectangle) (n int) {
	paper := img.At(0, 0)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if img.At(x, y) != paper {
				n++
			}
		}
	}
	return n
}
