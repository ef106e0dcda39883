//go:build !js

package desk

import (
	"context"
	"errors"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"tugback/internal/exam"
	"tugback/internal/handin"
)

// answerTime is how long a class server may take to answer.
const answerTime = 30 * time.Second

// folder keeps logs and exports in a folder, one for each paper as it was sealed for a candidate.
type folder struct{ path string }

func (d folder) place(packet exam.Packet) (string, error) {
	digest, err := packet.Digest()
	if err != nil {
		return "", err
	}
	folder := filepath.Join(d.path, packet.Paper+"-"+digest[:8])
	return folder, os.MkdirAll(folder, 0o700)
}

func (d folder) open(packet exam.Packet, attempt int) (exam.Log, [][]byte, error) {
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
func (d folder) keep(name string, export []byte) (string, error) {
	folder := filepath.Join(d.path, "handed-in")
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

func (r remoteRoom) status() (s handin.Status, err error) {
	err = within(func(ctx context.Context) error { s, err = r.client.Status(ctx); return err })
	return s, err
}

func (r remoteRoom) step(attempt int, step handin.Step) (seen handin.Seen, err error) {
	err = within(func(ctx context.Context) error {
		seen, err = r.client.Step(ctx, strconv.Itoa(attempt), step)
		return err
	})
	return seen, err
}

func (r remoteRoom) comments() (data []byte, err error) {
	err = within(func(ctx context.Context) error { data, err = r.client.Comments(ctx); return err })
	return data, err
}

// NewFolder returns the desk that keeps its logs in a folder and speaks to the class server at an address as
// whoever holds a token; an empty address: there is none.
func NewFolder(path, server, token string) Desk {
	d := Desk{home: folder{path}, tell: func(error) {}}
	if server != "" {
		d.room = remoteRoom{handin.Client{Base: server, Token: token}}
	}
	return d
}
