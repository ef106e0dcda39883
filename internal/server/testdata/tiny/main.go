//go:build js

// Command tiny stands in for the bench in tests: it makes a canvas, says so in the mirror, and keeps a
// run under way when a key is pressed.
package main

import "syscall/js"

func main() {
	document := js.Global().Get("document")
	canvas := document.Call("createElement", "canvas")
	canvas.Set("tabIndex", 1)
	document.Get("body").Call("appendChild", canvas)
	mirror := document.Call("getElementById", "mirror")
	canvas.Call("addEventListener", "keydown", js.FuncOf(func(_ js.Value, args []js.Value) any {
		key := args[0].Get("key").String()
		done := js.FuncOf(func(_ js.Value, args []js.Value) any {
			mirror.Set("textContent", "kept "+key+": "+js.Global().Get("String").Invoke(args[0].Get("status")).String())
			return nil
		})
		js.Global().Call("fetch", "practice/current", map[string]any{"method": "PUT", "body": `{"key":"` + key + `"}`}).Call("then", done)
		return nil
	}))
	mirror.Set("textContent", "tiny bench, ready")
	select {}
}
