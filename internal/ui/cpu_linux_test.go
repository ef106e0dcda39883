package ui_test

import (
	"runtime"
	"time"

	"golang.org/x/sys/unix"
)

// spent returns the time the processor worked on a call, which neither other programs nor waiting lengthen.
func spent(call func()) time.Duration {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	begin := threadTime()
	call()
	return threadTime() - begin
}

func threadTime() time.Duration {
	var t unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_THREAD_CPUTIME_ID, &t); err != nil {
		panic("ui_test: no clock of the thread: " + err.Error())
	}
	return time.Duration(t.Nano())
}
