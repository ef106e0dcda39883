package main

import (
	"context"
	"encoding/json"
	"net/url"
	"strconv"
	"strings"
	"syscall/js"

	"tugback/internal/exam"
	"tugback/internal/store"
	"tugback/internal/ui"
)

// browserDesk keeps logs in the browser's memory for this page, a line under each name, and offers exports
// as downloads.
type browserDesk struct{}

// browserLog is a log in the browser's memory.
type browserLog struct {
	name  string
	count int
}

func (browserDesk) open(packet exam.Packet, attempt int) (exam.Log, [][]byte, error) {
	digest, err := packet.Digest()
	if err != nil {
		return nil, nil, err
	}
	log := &browserLog{name: "tugback.exam." + digest[:16] + "." + strconv.Itoa(attempt) + "."}
	var lines [][]byte
	for {
		line, err := store.Remembered(log.name + strconv.Itoa(log.count))
		if err != nil {
			return nil, nil, err
		}
		if line == nil {
			return log, lines, nil
		}
		lines = append(lines, line)
		log.count++
	}
}

// Append keeps lines, all or none.
func (l *browserLog) Append(lines [][]byte) error {
	for i, line := range lines {
		if err := store.Remember(l.name+strconv.Itoa(l.count+i), line); err != nil {
			for k := range i {
				store.Remember(l.name+strconv.Itoa(l.count+k), nil) //nolint:errcheck // taking away needs no room
			}
			return err
		}
	}
	l.count += len(lines)
	return nil
}

func (browserDesk) keep(name string, export []byte) (string, error) {
	return name, store.Offer(name, export)
}

// pageRoom is the class server that served this page.
type pageRoom struct{ token string }

func (r pageRoom) packet() ([]byte, error) {
	_, text, err := store.Ask("GET", "api/packet", r.token, nil)
	return text, err
}

func (r pageRoom) lines(attempt int) ([]string, error) {
	status, text, err := store.Ask("GET", "api/log/"+strconv.Itoa(attempt), r.token, nil)
	if status == 404 {
		return nil, nil
	}
	var log struct {
		Lines []string `json:"lines"`
	}
	if err == nil {
		err = json.Unmarshal(text, &log)
	}
	return log.Lines, err
}

func (r pageRoom) append(attempt, from int, lines []string, step string) error {
	text, err := json.Marshal(map[string]any{"from": from, "lines": lines, "step": step, "left_s": -1})
	if err == nil {
		_, _, err = store.Ask("POST", "api/log/"+strconv.Itoa(attempt), r.token, text)
	}
	return err
}

func (r pageRoom) submit(attempt int, export []byte) (digest string, late bool, err error) {
	_, text, err := store.Ask("POST", "api/submit/"+strconv.Itoa(attempt), r.token, export)
	if err != nil {
		return "", false, err
	}
	got, err := readReceipt(text)
	return got.Digest, got.Late, err
}

// openDesk returns where examinations are sat: in the page, and with the class server that served it where
// the address ends in #token=….
func openDesk(string) desk {
	d := desk{home: browserDesk{}}
	if token := tokenOf(js.Global().Get("location").Get("hash").String()); token != "" {
		d.room = pageRoom{token}
	}
	return d
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

// given returns the paper of the class server that served the page, where there is one.
func given(d desk, _ []string) ([]ui.File, error) {
	if d.room == nil {
		return nil, nil
	}
	data, err := d.fetch(context.Background())
	if err != nil {
		return nil, err
	}
	return []ui.File{{Name: "paper.json", Data: data}}, nil
}
