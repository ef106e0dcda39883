package main

import (
	"os"
	"path/filepath"
)

// checkScreens draws every screen of the bench in every size, palette and at the largest text, looks for
// letters that overlap, are cut off or have too little contrast, and writes the pictures into the folder of
// --out, or one beside the repository's other temporary files.
func checkScreens(t *tree) (verdict, string) {
	if err := t.needDisplay(); err != nil {
		return notChecked, err.Error()
	}
	folder := t.out
	if folder == "" {
		folder = filepath.Join(os.TempDir(), "tugback-screens")
	}
	if err := os.MkdirAll(folder, 0o750); err != nil {
		return failed, err.Error()
	}
	out, err := t.do([]string{"TUGBACK_SCREENS=" + folder}, "xvfb-run", "-a", "-s", "-screen 0 1440x1200x24",
		"go", "test", "-count=1", "-v", "-timeout=60m", "-run=^TestScreens$", "./internal/ui")
	return judge(out, err, told(out)+" in "+folder)
}
