package main

import (
	"syscall/js"

	"tugback/internal/bench"
)

// mostLines is how many lines the mirror holds; older ones go.
const mostLines = 60

func practicePath() (string, error) { return "", nil }

// announced counts what was said.
var announced int

// announce writes a line into the page's mirror, which screen readers read out. The mirror tells how often
// the bench spoke, so that whoever drives it knows when it has answered.
func announce(text string) {
	document := js.Global().Get("document")
	mirror := document.Call("getElementById", "mirror")
	if !mirror.Truthy() {
		return
	}
	announced++
	mirror.Get("dataset").Set("said", announced)
	line := document.Call("createElement", "div")
	line.Set("textContent", text)
	mirror.Call("append", line)
	for mirror.Get("childElementCount").Int() > mostLines {
		mirror.Get("firstElementChild").Call("remove")
	}
}

// inWords writes the page in words beside the canvas, where a screen reader can go through it.
func inWords(page []bench.Sentence) {
	document := js.Global().Get("document")
	words := document.Call("getElementById", "words")
	if !words.Truthy() {
		return
	}
	all := make([]any, len(page))
	for i, l := range page {
		tag := "p"
		if l.Head {
			tag = "h2"
		}
		line := document.Call("createElement", tag)
		line.Set("textContent", l.Text)
		all[i] = line
	}
	words.Call("replaceChildren", all...)
}

// ownComfort returns the settings that the person made in the browser or the system.
func ownComfort(c bench.Settings) bench.Settings {
	asked := func(query string) bool {
		return js.Global().Call("matchMedia", query).Get("matches").Bool()
	}
	c.ReducedMotion = asked("(prefers-reduced-motion: reduce)")
	switch {
	case asked("(prefers-contrast: more)"):
		c.Palette = "high-contrast"
	case asked("(prefers-color-scheme: dark)"):
		c.Palette = "night"
	}
	return c
}

// showFault has the page say why the bench cannot go on.
func showFault(err error) {
	state := js.Global().Get("document").Call("getElementById", "state")
	if state.Truthy() {
		state.Get("dataset").Set("fault", err.Error())
	}
}
