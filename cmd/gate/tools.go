package main

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// need makes sure a program can be started, installing Debian packages for it where that is
// possible; it returns why not.
func (t *tree) need(program string, packages ...string) error {
	if _, err := exec.LookPath(program); err == nil {
		return nil
	}
	if err := t.install(packages...); err != nil {
		return fmt.Errorf("%s is missing: %w", program, err)
	}
	_, err := exec.LookPath(program)
	return err
}

// needDisplay makes sure that packages which need Ebitengine can be built and tested, if there are
// any; it returns why not.
func (t *tree) needDisplay() error {
	if len(t.display) == 0 {
		return nil
	}
	if err := t.need("gcc", "gcc", "libc6-dev"); err != nil {
		return err
	}
	if _, err := os.Stat("/usr/include/X11/extensions/Xrandr.h"); err != nil {
		if err := t.install("libx11-dev", "libxrandr-dev", "libxcursor-dev", "libxinerama-dev",
			"libxi-dev", "libxxf86vm-dev", "libgl1-mesa-dev", "libasound2-dev", "pkg-config"); err != nil {
			return fmt.Errorf("headers of X are missing: %w", err)
		}
	}
	return t.need("xvfb-run", "xvfb", "xauth")
}

// install installs Debian packages; only root on Debian can, and only one apt-get update runs.
func (t *tree) install(packages ...string) error {
	if _, err := os.Stat("/etc/debian_version"); err != nil || os.Geteuid() != 0 {
		return fmt.Errorf("only root on Debian installs %s by itself", strings.Join(packages, " "))
	}
	quiet := []string{"DEBIAN_FRONTEND=noninteractive"}
	if !t.updated {
		t.updated = true
		if out, err := t.do(quiet, "apt-get", "update"); err != nil {
			return fmt.Errorf("apt-get update: %w: %s", err, lastLine(out))
		}
	}
	args := append([]string{"install", "-y", "--no-install-recommends"}, packages...)
	if out, err := t.do(quiet, "apt-get", args...); err != nil {
		return fmt.Errorf("apt-get install %s: %w: %s", strings.Join(packages, " "), err, lastLine(out))
	}
	return nil
}

// lastLine returns the last line of a command's output that is not empty.
func lastLine(output string) string {
	lines := strings.Split(strings.TrimSpace(output), "\n")
	return lines[len(lines)-1]
}
