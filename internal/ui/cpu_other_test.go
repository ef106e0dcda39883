//go:build !linux

package ui_test

import "time"

// spent returns the time a call took.
func spent(call func()) time.Duration {
	begin := time.Now()
	call()
	return time.Since(begin)
}
