package watch

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image/png"
	"os"
	"strings"
	"sync"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/progress"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/testdata/campaign"
)

// evil is markup that would be seen if it were taken for markup.
const evil = `<b id="evil">x</b><img src=x onerror="window.evil=1"><script>window.evil=1</script>"'>`

// fill has a follower show everything at once, with such texts everywhere.
func fill(t *testing.T, f *progress.Follower, text string) {
	t.Helper()
	f.Foreseen(&progress.Course{Steps: make([]progress.Step, 90)})
	f.Opened("runs/"+text+"-1", "candelua resume 'runs/"+text+"-1'")
	f.Tell(play.Began{Title: "Sweep" + text, Head: history.Head{Procedure: "sweep", Unit: "Plover 4" + text, Mode: "Dusk" + text, Bench: "Tern Street" + text, Simulated: true}})
	f.Tell(play.Part{Name: "bright" + text, Begins: true, Step: 30})
	f.Tell(play.Progress{Step: 30, Name: "meter.read", Show: func() string { return "meter.read{}" + text }})
	f.Tell(play.Read{ReadingRow: script.ReadingRow{X: 95.047, Y: 100, Z: 108.883, Colour: true}})
	f.Tell(play.Showing{Patch: &bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}})
	f.Asked("How warm is the room?" + text)
	for range 3 {
		f.Warned("the meter is warm" + text)
	}
}

// filled are results with such texts everywhere.
func filled(t *testing.T, text string) *result.Results {
	t.Helper()
	r := sweep(t, 15)
	table, err := r.Table("T"+text, "", []result.Column{{Name: "a" + text}, {Name: "b", Unit: "%" + text}, {Name: "words"}})
	for n := range 3 {
		if err == nil {
			err = table.Add(map[string]any{"a" + text: float64(n), "b": float64(n), "words": text})
		}
	}
	if err == nil {
		_, err = r.Plot(result.Plot{Title: "P" + text, Table: table.ID, X: "a" + text, Y: []string{"b"}})
	}
	number := 5.0
	if err == nil {
		_, err = r.Value(result.Value{Name: "V" + text, Value: &number, Unit: "cd/m2" + text})
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestPage opens the page in a browser.
func TestPage(t *testing.T) {
	type member struct {
		name string
		test func(*testing.T)
	}
	for _, m := range campaign.Some(t, []member{{"shows", pageShows}, {"pauses", pagePauses}, {"connects again", pageConnectsAgain}, {"never flashes", pageNeverFlashes}}, 1) {
		t.Run(m.name, m.test)
	}
}

// In a browser the page works at any size and in both looks: without an error, without a request elsewhere, nothing is wider than
// the window, no text is markup, and the checker of accessibility finds nothing, in each state of a run.
func pageShows(t *testing.T) {
	b := browse(t)
	checker := axe(t)
	s, f, pauses := serve(t)
	fill(t, f, evil)
	w := b.watchesFor(s.URL())
	b.sized(820, 1180)
	b.opens(s.URL())
	b.waits(`document.getElementById("question").innerText.includes("How warm is the room?<b")`)
	sizes := [][2]int{{390, 844}, {820, 1180}, {1180, 820}, {1600, 1000}}
	inEachLook := func(state string) {
		t.Helper()
		for _, look := range []string{"Light look", "Dark look"} { // what the button offers
			b.waits(`document.getElementById("look").innerText === "` + look + `"`)
			for _, size := range campaign.Some(t, sizes, 2) {
				b.sized(size[0], size[1])
				if wide := b.does(`document.documentElement.scrollWidth - document.documentElement.clientWidth`); wide != 0. {
					t.Errorf("%s, %v: the page is %v pixels wider than the window", state, size, wide)
				}
				for _, found := range checker(b) {
					t.Errorf("%s, %v, with the button %q: %s", state, size, look, found)
				}
			}
			b.does(`document.getElementById("look").click()`)
		}
	}
	inEachLook("at a question")
	f.Asked("")
	f.Tell(ended(filled(t, evil), journal.Done))
	b.waits(`document.querySelectorAll("figure img[src]").length === 2 && [...document.querySelectorAll("figure img")].every(i => i.complete && i.naturalWidth > 0)`)
	b.waits(`document.getElementById("values").innerText.includes("V<b id=")`)
	inEachLook("computing")
	f.Tell(play.Concluded{Results: filled(t, evil)})
	f.Over(nil)
	b.waits(`document.getElementById("end").innerText.startsWith("The run is done.")`)
	inEachLook("done")
	for script, want := range map[string]any{
		`document.querySelectorAll("#evil, b, main img:not(figure img)").length`: 0.,
		`document.scripts.length`: 2.,
		`typeof window.evil`:      "undefined",
		`[...document.images].every(i => i.src.startsWith(location.href + "picture/"))`:                   true,
		`getComputedStyle(document.documentElement).backgroundColor`:                                      "rgb(0, 0, 0)",
		`document.getElementById("bar").getAttribute("aria-valuenow")`:                                    "100",
		`document.getElementById("reading").innerText.replace(/\s+/g, " ")`:                               "100 cd/m² x 0.3127, y 0.3290",
		`document.getElementById("simulated").hidden`:                                                     false,
		`document.querySelectorAll("#warnings li").length`:                                                3.,
		`document.getElementById("said").innerText.startsWith("The run is done.")`:                        true,
		`document.getElementById("loud").innerText.startsWith("Answer at the terminal: How warm is the")`: true,
	} {
		if got := b.does(script); got != want {
			t.Errorf("%s is %v, want %v", script, got, want)
		}
	}
	if pauses.Load() != 0 {
		t.Error("the run was paused")
	}
	w.none(t)
}

// axe gives the checker of accessibility, which names what it finds in a page. Its file is named by the environment.
func axe(t *testing.T) func(*chromium) []string {
	t.Helper()
	path := os.Getenv("CANDELUA_AXE")
	if path == "" {
		const install = "npm install axe-core, and set CANDELUA_AXE to the path of its axe.min.js"
		if campaign.Full() {
			t.Fatal("the checker of accessibility is missing: " + install)
		}
		t.Log("brief: accessibility is not checked; " + install)
		return func(*chromium) []string { return nil }
	}
	checker, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return func(b *chromium) (found []string) {
		if b.does(`typeof axe`) == "undefined" {
			b.does(string(checker) + "; 0")
		}
		text := b.does(`axe.run({ runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }).then(r =>
			JSON.stringify(r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.map(n => n.target + " " + n.failureSummary).join("; "))))`)
		if err := json.Unmarshal([]byte(fmt.Sprint(text)), &found); err != nil {
			b.Fatal(err)
		}
		return found
	}
}

// A pause is asked for twice: the button asks, where keeping on has the focus, and Escape keeps on.
func pagePauses(t *testing.T) {
	b := browse(t)
	s, f, pauses := serve(t)
	b.opens(s.URL())
	b.waits(`document.getElementById("link").hidden && document.getElementById("pause").disabled`) // nothing has begun
	fill(t, f, "")
	b.waits(`!document.getElementById("pause").disabled`)
	press := func(key string, code int) {
		for _, kind := range []string{"keyDown", "keyUp"} {
			k := map[string]any{"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code}
			if key == "Enter" && kind == "keyDown" {
				k["text"] = "\r"
			}
			b.asks("Input.dispatchKeyEvent", k, nil)
		}
	}
	const open = `document.getElementById("sure").open`
	for range 2 { // by Escape, and by the button that has the focus
		b.does(`document.getElementById("pause").focus()`)
		press("Enter", 13)
		b.waits(open + ` && document.activeElement.id === "keep" && document.getElementById("sure").innerText.includes("candelua resume 'runs/-1'")`)
		press("Escape", 27)
		b.waits("!" + open)
		b.does(`document.getElementById("pause").click()`)
		b.waits(open)
		press("Enter", 13)
		b.waits("!" + open)
	}
	if pauses.Load() != 0 {
		t.Fatal("the run was paused without a second word")
	}
	press("Tab", 9)
	b.does(`document.getElementById("pause").click()`)
	b.waits(open)
	press("Tab", 9)
	b.waits(`document.activeElement.id === "really"`)
	press("Enter", 13)
	b.waits(`document.getElementById("pause").innerText === "Pausing after this reading …" && document.getElementById("pause").disabled`)
	if pauses.Load() != 1 {
		t.Errorf("asked for %d pauses", pauses.Load())
	}
	f.Tell(play.Ended{Status: journal.Paused, Err: play.ErrInterrupted, Results: sweep(t, 2)})
	b.waits(`document.getElementById("end").innerText === "The run is paused. Somebody paused the run. Go on with: candelua resume 'runs/-1'" && document.getElementById("pause").hidden`)
}

// A page whose connection is cut connects again by itself, and shows what has gone on. Where the engine is gone it says so, and where
// another run is served at the address, too.
func pageConnectsAgain(t *testing.T) {
	b := browse(t)
	s, f, _ := serve(t)
	fill(t, f, "")
	b.opens(s.URL())
	const link = `document.getElementById("link")`
	b.waits(link + `.hidden`)
	b.does(`window.words = []; new MutationObserver(() => words.push(` + link + `.innerText)).observe(` + link + `, { childList: true, attributes: true }); socket.send("cut")`)
	f.Tell(step(31, "meter.read"))
	b.waits(`document.getElementById("step").innerText.startsWith("Step 31") && ` + link + `.hidden`)
	if b.does(`words.some(w => w.startsWith("No word from the engine since "))`) != true {
		t.Errorf("the page did not say that it was cut off: %v", b.does(`words`))
	}
	address := strings.Split(s.URL(), "/")[2]
	s.page.Close() // without a goodbye, as by a kill
	b.waits(link + `.innerText.startsWith("No word from the engine since ") && document.getElementById("pause").disabled && document.getElementById("step").innerText.startsWith("Step 31")`)
	other, err := Serve(Options{Listen: address, Follower: progress.New(progress.Options{}), Pause: func() {}})
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	b.waits(link + `.innerText.startsWith("This address is no longer in use.")`)
}

// Not one frame is bright in the dark look: while the page loads, loads again, and connects again.
func pageNeverFlashes(t *testing.T) {
	b := browse(t)
	s, f, _ := serve(t)
	fill(t, f, "")
	f.Tell(ended(filled(t, ""), journal.Done))
	b.opens(s.URL())
	b.waits(`document.querySelectorAll("figure img[src]").length === 2`)
	var mu sync.Mutex
	frames, brightest := 0, 0.0
	b.mu.Lock()
	b.heard = func(method string, params json.RawMessage) {
		var frame struct {
			Data      string
			SessionID int
		}
		if method != "Page.screencastFrame" || json.Unmarshal(params, &frame) != nil {
			return
		}
		b.sends("Page.screencastFrameAck", map[string]any{"sessionId": frame.SessionID})
		mean := brightness(t, frame.Data)
		mu.Lock()
		defer mu.Unlock()
		frames, brightest = frames+1, max(brightest, mean)
	}
	b.mu.Unlock()
	b.asks("Page.startScreencast", map[string]any{"format": "png", "maxWidth": 320, "maxHeight": 320}, nil)
	for range 3 {
		b.asks("Page.reload", map[string]any{"ignoreCache": true}, nil)
		b.waits(`document.querySelectorAll("figure img[src]").length === 2`)
		b.does(`socket.send("cut"); new Promise(done => setTimeout(done, 300))`)
		b.waits(`document.getElementById("link").hidden`)
	}
	look := func() (n int, mean float64) {
		mu.Lock()
		defer mu.Unlock()
		defer func() { frames, brightest = 0, 0 }()
		return frames, brightest
	}
	if n, mean := look(); n < 4 || mean > 0.1 {
		t.Errorf("of %d frames the brightest is %.2f of white", n, mean)
	}
	b.does(`document.getElementById("look").click(); new Promise(done => setTimeout(done, 500))`)
	if n, mean := look(); n == 0 || mean < 0.5 { // or the test sees nothing
		t.Errorf("of %d frames in the light look the brightest is %.2f of white", n, mean)
	}
}

// brightness is the mean of a picture's channels, 0 to 1.
func brightness(t *testing.T, encoded string) float64 {
	data, err := base64.StdEncoding.DecodeString(encoded)
	if err != nil {
		t.Error(err)
		return 1
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Error(err)
		return 1
	}
	var sum, n float64
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y += 2 {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x += 2 {
			r, g, b, _ := img.At(x, y).RGBA()
			sum, n = sum+float64(r+g+b)/(3*0xFFFF), n+1
		}
	}
	return sum / n
}
