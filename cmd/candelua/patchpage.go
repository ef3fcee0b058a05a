package main

import (
	"candelua/engine/bench"
	"candelua/engine/plain"
	"candelua/engine/screen"
)

// openPage opens the driver of the unit's own screen. There is one page in a process: a bench that is opened anew finds
// it as it was.
func (h *hands) openPage() (bench.Driver, error) {
	if h.page == nil {
		h.page = screen.New(screen.Options{Take: h.take, Say: h.sayOfPage, Draw: h.drawCode})
	}
	return h.page.Open()
}

// closePage stops serving the page.
func (h *hands) closePage() {
	if h.page != nil {
		h.page.Close() // nobody is told whether it could
	}
}

func (h *hands) sayOfPage(text string) { h.out.Say("candelua: ", plain.Lines(text)) }

// drawCode shows a QR code, where there is a terminal that is wide enough.
func (h *hands) drawCode(c *screen.Code) {
	f := h.out.File()
	if f == nil {
		f = h.line.out
	}
	if !h.line.terminal || c.Columns() > columnsOf(f) {
		return
	}
	h.out.Own(c.Terminal())
}
