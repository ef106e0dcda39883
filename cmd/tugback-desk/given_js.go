package main

import (
	"net/url"
	"strings"
	"syscall/js"

	"tugback/internal/desk"
	"tugback/internal/ui"
)

// openDesk returns where examinations are sat: in the page, and with the class server that served it where
// the address ends in #token=….
func openDesk(string) desk.Desk {
	return desk.NewPage(tokenOf(js.Global().Get("location").Get("hash").String()))
}

// tokenOf returns the token of an address's last part, "" none.
func tokenOf(hash string) string {
	values, err := url.ParseQuery(strings.TrimPrefix(hash, "#"))
	if err != nil {
		return ""
	}
	return values.Get("token")
}

// picker returns what asks the person for a file, which then comes through the channel.
func picker(files chan<- ui.File) func() {
	input := js.Global().Get("document").Call("createElement", "input")
	input.Set("type", "file")
	input.Set("accept", ".json,.csv")
	input.Call("addEventListener", "change", js.FuncOf(func(js.Value, []js.Value) any {
		list := input.Get("files")
		if list.Get("length").Int() == 0 {
			return nil
		}
		file := list.Index(0)
		name := file.Get("name").String()
		file.Call("text").Call("then", js.FuncOf(func(_ js.Value, args []js.Value) any {
			data := []byte(args[0].String())
			go func() { files <- ui.File{Name: name, Data: data} }()
			return nil
		}))
		input.Set("value", "")
		return nil
	}))
	return func() { input.Call("click") }
}

// named returns none: a page is started with no files.
func named() ([]ui.File, error) { return nil, nil }
