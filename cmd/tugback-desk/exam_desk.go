//go:build !js

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/ui"
)

// answerTime is how long a class server may take to answer.
const answerTime = 30 * time.Second

// folderDesk keeps logs and exports in a folder, one for each paper as it was sealed for a candidate.
type folderDesk struct{ folder string }

func (d folderDesk) place(packet exam.Packet) (string, error) {
	digest, err := packet.Digest()
	if err != nil {
		return "", err
	}
	folder := filepath.Join(d.folder, packet.Paper+"-"+digest[:8])
	return folder, os.MkdirAll(folder, 0o700)
}

func (d folderDesk) open(packet exam.Packet, attempt int) (exam.Log, [][]byte, error) {
	folder, err := d.place(packet)
	if err != nil {
		return nil, nil, err
	}
	path := filepath.Join(folder, exam.LogFile(packet.Candidate, attempt))
	file, lines, err := exam.OpenFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		file, err = exam.CreateFile(path)
	}
	return file, lines, err
}

// keep writes an export beside the logs, whole or not at all.
func (d folderDesk) keep(name string, export []byte) (string, error) {
	folder := filepath.Join(d.folder, "handed-in")
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	path := filepath.Join(folder, exam.Digest(export)[:8]+"."+name)
	if err := os.WriteFile(path+".new", export, 0o600); err != nil {
		return "", err
	}
	return path, os.Rename(path+".new", path)
}

// remoteRoom is a class server reached over the net.
type remoteRoom struct{ client handin.Client }

func within(do func(ctx context.Context) error) error {
	ctx, stop := context.WithTimeout(context.Background(), answerTime)
	defer stop()
	return do(ctx)
}

func (r remoteRoom) packet() (data []byte, err error) {
	err = within(func(ctx context.Context) error { data, err = r.client.Packet(ctx); return err })
	return data, err
}

func (r remoteRoom) lines(attempt int) ([]string, error) {
	var log handin.Append
	err := within(func(ctx context.Context) (err error) { log, err = r.client.Log(ctx, strconv.Itoa(attempt)); return err })
	var refused *handin.Error
	if errors.As(err, &refused) && refused.Status == http.StatusNotFound {
		return nil, nil
	}
	return log.Lines, err
}

func (r remoteRoom) append(attempt, from int, lines []string, step string) error {
	return within(func(ctx context.Context) error {
		return r.client.Append(ctx, strconv.Itoa(attempt), handin.Append{From: from, Lines: lines, Step: step, LeftS: -1})
	})
}

func (r remoteRoom) submit(attempt int, export []byte) (digest string, late bool, err error) {
	var got handin.Receipt
	err = within(func(ctx context.Context) error {
		got, err = r.client.Submit(ctx, strconv.Itoa(attempt), export)
		return err
	})
	return got.Digest, got.Late, err
}

// openDesk returns where examinations are sat: beside the practice, and with a class server when one is named.
func openDesk(practice string) desk {
	d := desk{home: folderDesk{filepath.Join(filepath.Dir(practice), "exams")}}
	if class != "" {
		d.room = remoteRoom{handin.Client{Base: class, Token: token}}
	}
	return d
}

// picker is nil: a window has no dialog of its own; files are dropped on it or named when it is started.
func picker(chan<- ui.File) func() { return nil }

// mostNamed is the largest file that is read, in bytes.
const mostNamed = 32 << 20

// given returns what the window was started with: the paper from the class server, and the files named.
func given(d desk, named []string) ([]ui.File, error) {
	var out []ui.File
	if d.room != nil {
		data, err := d.fetch(context.Background())
		if err != nil {
			return nil, err
		}
		out = append(out, ui.File{Name: "paper.json", Data: data})
	}
	for _, name := range named {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		data, err := io.ReadAll(io.LimitReader(f, mostNamed+1))
		if err := errors.Join(err, f.Close()); err != nil {
			return nil, err
		}
		if len(data) > mostNamed {
			return nil, fmt.Errorf("%s has more than %d bytes", name, mostNamed)
		}
		if !json.Valid(data) && filepath.Ext(name) != ".csv" {
			return nil, fmt.Errorf("%s is neither a paper or record (JSON) nor comments (.csv)", name)
		}
		out = append(out, ui.File{Name: filepath.Base(name), Data: data})
	}
	return out, nil
}
