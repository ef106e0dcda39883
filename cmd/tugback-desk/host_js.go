package main

import "syscall/js"

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
