package class_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"testing"
	"time"

	"tugback/internal/class"
	"tugback/scenarios"
)

// serverVariable names the place which this test binary, started by a test, serves without end.
const serverVariable = "TUGBACK_TEST_SERVER"

func TestMain(m *testing.M) {
	if place := os.Getenv(serverVariable); place != "" {
		fmt.Fprintln(os.Stderr, serveForever(place, os.Args[1]))
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// serveForever serves a class as the program does.
func serveForever(place, addr string) error {
	c, err := class.Open(context.Background(), place, class.Options{Judge: class.Records{Files: scenarios.Files}})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp4", addr)
	if err != nil {
		return err
	}
	return c.Serve(context.Background(), l, nil, quiet, "", "")
}

// process is a server process of its own.
type process struct {
	place, addr string
	cmd         *exec.Cmd
}

// start starts a server process and waits until it answers.
func start(t *testing.T, place string) *process {
	t.Helper()
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &process{place: place, addr: l.Addr().String()}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	p.run(t)
	t.Cleanup(func() { p.kill(t) })
	return p
}

func (p *process) run(t *testing.T) {
	t.Helper()
	p.cmd = exec.Command(os.Args[0], p.addr)
	p.cmd.Env = append(os.Environ(), serverVariable+"="+p.place)
	p.cmd.Stderr = os.Stderr
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for range 200 {
		connection, err := net.Dial("tcp4", p.addr)
		if err == nil {
			connection.Close()
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the server process does not answer")
}

// kill ends the process as a loss of power would.
func (p *process) kill(t *testing.T) {
	t.Helper()
	if err := p.cmd.Process.Kill(); err != nil {
		t.Error(err)
	}
	p.cmd.Wait() // its end by the signal is meant
}
