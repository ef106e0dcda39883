package main

import (
	"encoding/json"
	"syscall/js"

	"tugback/internal/bench"
)

// comfortKey is the name under which the browser keeps the settings of comfort.
const comfortKey = "tugback.comfort"

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

func loadComfort() (s bench.Settings, ok bool) {
	defer func() {
		if recover() != nil { // the browser may forbid its memory
			ok = false
		}
	}()
	item := js.Global().Get("localStorage").Call("getItem", comfortKey)
	return s, item.Type() == js.TypeString && json.Unmarshal([]byte(item.String()), &s) == nil
}

func saveComfort(s bench.Settings) {
	defer func() { _ = recover() }() // see loadComfort
	if data, err := json.Marshal(s); err == nil {
		js.Global().Get("localStorage").Call("setItem", comfortKey, string(data))
	}
}
