package screen

import (
	"bytes"
	"fmt"
	"net/http"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/paint"
	"candelua/engine/still"
)

// Plain codes on a canvas are what most units take for sRGB. What is meant otherwise goes over still images, which say
// what their samples stand for: they cover the screen, and are decoded before they are put in. Whether a unit shows them
// as they are is another path, and on record as such ([bench.Shown.Path]).

// hdrBits are those of the samples of an HDR still, where the patch does not say.
const hdrBits = 10

// path is how a patch reaches the panel, or why it cannot.
func (a *about) path(p bench.Patch) (bench.Path, error) {
	refuse := func(why string) (bench.Path, error) {
		return "", bench.Errorf(bench.CodeUnsupported, "use the driver files with a media player, or a generator", "the page cannot show this patch as it is meant: %s", why)
	}
	switch {
	case p.Signal == bench.SDR && p.Space == bench.Plain:
		return bench.PathPage, nil
	case p.Signal != bench.SDR && p.Space != bench.Plain:
		return refuse(fmt.Sprintf("%s has a colour space of its own, and %s is asked for", p.Signal, p.Space))
	case p.Signal != bench.SDR:
		if !a.High {
			return refuse("the browser states no high dynamic range, so it would convert HDR stills to SDR")
		}
		return bench.PathPageHDR, nil
	}
	why := map[string]string{
		"narrow":    "the browser takes the screen for one of less than P3, so it would convert P3 stills",
		"wide":      "the browser takes the screen for one of more than P3, so it would convert P3 stills",
		"software":  "the browser paints without graphics hardware, and then it may convert P3 stills whatever it says",
		"converted": "the browser converts P3 stills",
	}[a.P3]
	switch {
	case a.P3 == "kept":
		return bench.PathPageP3, nil
	case why == "":
		why = "the browser does not let it be verified that P3 stills arrive unconverted"
	}
	return refuse(why)
}

// picture lays a patch out, and gives it as the page takes it: rectangles, or the path of a still.
func (d *device) picture(p bench.Patch, number int) (paint.Picture, said, error) {
	pic, path, err := d.lay(p)
	if err != nil || path == bench.PathPage {
		return pic, said{Kind: "show", Number: number, Rects: rectsOf(pic)}, err
	}
	meaning, err := still.MeaningOf(p)
	if err != nil {
		return pic, said{}, err
	}
	var png bytes.Buffer
	if err := still.PNG(&png, pic, meaning, p.Metadata); err != nil {
		return pic, said{}, err
	}
	name := fmt.Sprintf("still/%d.png", number)
	d.source.mu.Lock()
	d.source.stills[name] = png.Bytes()
	d.source.mu.Unlock()
	return pic, said{Kind: "show", Number: number, Still: name}, nil
}

// probe is the image by which a page finds out whether P3 stays as it is, one pixel high: all codes of red, green, blue
// and grey. The page has the same colours.
func probe() []byte {
	pic := paint.Picture{Size: paint.Size{Width: 4 * 256, Height: 1}, Bits: 8}
	for i, rgb := range [][3]int{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 1, 1}} {
		for v := range 256 {
			pic.Rects = append(pic.Rects, paint.Rect{X: 256*i + v, W: 1, H: 1, Code: [3]int{rgb[0] * v, rgb[1] * v, rgb[2] * v}})
		}
	}
	var png bytes.Buffer
	if err := still.PNG(&png, pic, still.DisplayP3, bench.Metadata{}); err != nil {
		panic(err) // always the same picture
	}
	return png.Bytes()
}

// serveStill serves the stills of the last request.
func (s *Source) serveStill(w http.ResponseWriter, r *http.Request) {
	name := r.URL.Path[strings.LastIndex(r.URL.Path, "/still/")+1:]
	s.mu.Lock()
	png := s.stills[name]
	s.mu.Unlock()
	if name == "still/probe.png" {
		png = probe()
	}
	if png == nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/png")
	w.Write(png)
}
