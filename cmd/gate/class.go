package main

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
)

// checkClass runs the tests of the class server, with the whole dry run and rush, on SQLite and on a
// PostgreSQL made for this purpose; TUGBACK_POSTGRES names another that is to be used instead.
func checkClass(t *tree) (verdict, string) {
	address := os.Getenv("TUGBACK_POSTGRES")
	if address == "" {
		programs, err := t.postgres()
		if err != nil {
			return notChecked, err.Error()
		}
		own, stop, err := startPostgres(t, programs)
		if err != nil {
			return failed, err.Error()
		}
		defer stop()
		address = own
	}
	env := []string{"TUGBACK_POSTGRES=" + address, "TUGBACK_CLASS=whole"}
	out, err := t.do(env, "go", "test", "-count=1", "-v", "-timeout=20m", "./internal/class")
	if err != nil {
		return judge(out, err, "")
	}
	v, detail := checkTables(t)
	return v, told(out) + "; " + detail
}

// checkTables opens the tables of a gradebook in LibreOffice.
func checkTables(t *tree) (verdict, string) {
	if err := t.need("soffice", "libreoffice-calc"); err != nil {
		return notChecked, err.Error()
	}
	out, err := t.do([]string{"TUGBACK_OFFICE=1"}, "go", "test", "-count=1", "-run=TestScripts/gradebook", "./internal/cli")
	return judge(out, err, "tables whole in LibreOffice")
}

// postgres returns the folder of PostgreSQL's programs, which root installs when they are missing.
func (t *tree) postgres() (string, error) {
	find := func() string {
		found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
		if len(found) == 0 {
			return ""
		}
		return filepath.Dir(slices.Max(found))
	}
	if find() == "" {
		if err := t.install("postgresql"); err != nil {
			return "", fmt.Errorf("PostgreSQL is missing: %w", err)
		}
	}
	if programs := find(); programs != "" {
		return programs, nil
	}
	return "", fmt.Errorf("PostgreSQL is missing under /usr/lib/postgresql")
}

// startPostgres makes and starts a database in a new folder and returns its address and what removes it.
// initdb refuses root, so that root lets the user postgres do it.
func startPostgres(t *tree, programs string) (address string, stop func(), err error) {
	var as []string
	dir, err := os.MkdirTemp("", "gate-postgres")
	if err != nil {
		return "", nil, err
	}
	remove := func() { os.RemoveAll(dir) } //nolint:errcheck // a folder left in the system's temporary space harms nobody
	if os.Geteuid() == 0 {
		as = []string{"runuser", "-u", "postgres", "--"}
		if out, err := exec.Command("chown", "postgres", dir).CombinedOutput(); err != nil {
			remove()
			return "", nil, fmt.Errorf("%w: %s", err, out)
		}
	}
	run := func(program string, args ...string) error {
		line := append(slices.Clone(as), append([]string{filepath.Join(programs, program)}, args...)...)
		out, err := t.do(nil, line[0], line[1:]...)
		if err != nil {
			return fmt.Errorf("%s: %w: %s", program, err, out)
		}
		return nil
	}
	port, err := freePort()
	data, log := filepath.Join(dir, "data"), filepath.Join(dir, "log")
	if err == nil {
		err = run("initdb", "-D", data, "-A", "trust", "-U", "postgres", "--no-sync")
	}
	if err == nil {
		options := fmt.Sprintf("-p %d -c listen_addresses=127.0.0.1 -c unix_socket_directories=%s", port, dir)
		err = run("pg_ctl", "-D", data, "-w", "-l", log, "-o", options, "start")
	}
	if err != nil {
		remove()
		return "", nil, err
	}
	return fmt.Sprintf("postgres://postgres@127.0.0.1:%d/postgres?sslmode=disable", port), func() {
		if err := run("pg_ctl", "-D", data, "-w", "-m", "fast", "stop"); err != nil {
			fmt.Fprintln(os.Stderr, "gate: PostgreSQL was not stopped:", err)
		}
		remove()
	}, nil
}

// freePort returns a port of this computer that nobody uses at the moment.
func freePort() (int, error) {
	listener, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	port := listener.Addr().(*net.TCPAddr).Port //nolint:forcetypeassert // by the network's name
	return port, listener.Close()
}
