package main_test

import (
	"hash/maphash"
	"testing"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/jezek/xgb/xtest"
)

// appears is how long a window may take to appear.
const appears = 30 * time.Second

// screen is a connection to X over which keys and the pointer are moved as their devices do, through the
// extension XTEST.
type screen struct {
	t     *testing.T
	conn  *xgb.Conn
	root  xproto.Window
	codes map[xproto.Keysym]byte
	seed  maphash.Seed
}

// openScreen connects to the display and reads where its keys are.
func openScreen(t *testing.T) *screen {
	t.Helper()
	conn, err := xgb.NewConn()
	if err == nil {
		err = xtest.Init(conn)
	}
	if err != nil {
		t.Fatalf("connect to the display: %v", err)
	}
	t.Cleanup(conn.Close)
	setup := xproto.Setup(conn)
	x := &screen{t: t, conn: conn, root: setup.DefaultScreen(conn).Root, codes: map[xproto.Keysym]byte{}, seed: maphash.MakeSeed()}
	first, count := setup.MinKeycode, byte(setup.MaxKeycode-setup.MinKeycode+1)
	mapping, err := xproto.GetKeyboardMapping(conn, first, count).Reply()
	if err != nil {
		t.Fatalf("read the keyboard: %v", err)
	}
	for i := range int(count) {
		sym := mapping.Keysyms[i*int(mapping.KeysymsPerKeycode)]
		if _, known := x.codes[sym]; sym != 0 && !known {
			x.codes[sym] = byte(first) + byte(i)
		}
	}
	return x
}

// place waits for the window of a name, puts it into the corner at a size, and gives it the keyboard.
func (x *screen) place(name string, w, h uint32) {
	x.t.Helper()
	for until := time.Now().Add(appears); time.Now().Before(until); time.Sleep(50 * time.Millisecond) {
		window, found := x.find(x.root, name, 4)
		if !found {
			continue
		}
		mask := uint16(xproto.ConfigWindowX | xproto.ConfigWindowY | xproto.ConfigWindowWidth | xproto.ConfigWindowHeight)
		err := xproto.ConfigureWindowChecked(x.conn, window, mask, []uint32{0, 0, w, h}).Check()
		if err == nil {
			err = xproto.SetInputFocusChecked(x.conn, xproto.InputFocusPointerRoot, window, xproto.TimeCurrentTime).Check()
		}
		if err != nil {
			continue // it is not shown yet
		}
		x.move(float64(w)/2, float64(h)-5)
		time.Sleep(settled)
		return
	}
	x.t.Fatalf("no window called %s appears", name)
}

// find looks for a window by its name, down to a depth.
func (x *screen) find(under xproto.Window, name string, depth int) (xproto.Window, bool) {
	title, err := xproto.GetProperty(x.conn, false, under, xproto.AtomWmName, xproto.GetPropertyTypeAny, 0, 64).Reply()
	if err == nil && string(title.Value) == name {
		return under, true
	}
	tree, err := xproto.QueryTree(x.conn, under).Reply()
	if err != nil || depth == 0 {
		return 0, false
	}
	for _, child := range tree.Children {
		if window, found := x.find(child, name, depth-1); found {
			return window, true
		}
	}
	return 0, false
}

// picture returns a print of what the display shows in its upper left corner.
func (x *screen) picture(w, h uint16) uint64 {
	x.t.Helper()
	image, err := xproto.GetImage(x.conn, xproto.ImageFormatZPixmap, xproto.Drawable(x.root), 0, 0, w, h, ^uint32(0)).Reply()
	if err != nil {
		x.t.Fatalf("read the display: %v", err)
	}
	return maphash.Bytes(x.seed, image.Data)
}

// keysym returns the number X knows a key of the bench by, from the table in X11/keysymdef.h.
func keysym(key string) xproto.Keysym {
	names := map[string]xproto.Keysym{"Tab": 0xff09, "Enter": 0xff0d, "Space": 0x20, "Left": 0xff51, "Up": 0xff52, "Right": 0xff53,
		"Down": 0xff54, "PageUp": 0xff55, "PageDown": 0xff56, "Escape": 0xff1b, "F1": 0xffbe, "F2": 0xffbf, "F10": 0xffc7, "Shift": 0xffe1}
	if sym, ok := names[key]; ok {
		return sym
	}
	return xproto.Keysym(key[0]) // letters, digits and signs are their own numbers
}

// key presses a key or lets it go.
func (x *screen) key(key string, down bool) {
	x.t.Helper()
	code, ok := x.codes[keysym(key)]
	if !ok {
		x.t.Fatalf("the keyboard has no key %s", key)
	}
	kind := byte(xproto.KeyRelease)
	if down {
		kind = xproto.KeyPress
	}
	x.fake(kind, code, 0, 0)
}

// move moves the pointer.
func (x *screen) move(px, py float64) {
	x.t.Helper()
	x.fake(xproto.MotionNotify, 0, int16(px), int16(py))
}

// button presses a button of the pointer or lets it go: 1 the left one, 4 and 5 the wheel.
func (x *screen) button(n byte, down bool) {
	x.t.Helper()
	kind := byte(xproto.ButtonRelease)
	if down {
		kind = xproto.ButtonPress
	}
	x.fake(kind, n, 0, 0)
}

func (x *screen) fake(kind, detail byte, px, py int16) {
	x.t.Helper()
	if err := xtest.FakeInputChecked(x.conn, kind, detail, 0, x.root, px, py, 0).Check(); err != nil {
		x.t.Fatalf("input to the display: %v", err)
	}
}
