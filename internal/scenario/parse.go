package scenario

import (
	"io/fs"
	"path"
)

// ParseIn reads a scenario from a text as if it were a file of a folder: files it uses are found in files.
// name is the file's name there and prefix leads from there to the names shown to people. The error is a
// Faults. Checked by TestParseIn.
func ParseIn(files fs.FS, prefix, name string, text []byte) (Scenario, error) {
	src, faults := newSource(prefix+name, text)
	if faults != nil {
		return Scenario{}, faults
	}
	return read(src, &library{files, prefix}, path.Base(name))
}

// ParsePlanIn reads a plan from a text as if it were a file of a folder of this computer, in which the
// techniques are that it names by file. The error is a Faults. Checked by TestParseIn.
func ParsePlanIn(folder, name string, text []byte) (Plan, error) {
	src, faults := newSource(name, text)
	if faults != nil {
		return Plan{}, faults
	}
	return readPlan(src, folder)
}

// Used is a file of rules that a scenario uses.
type Used struct {
	File   string
	Rules  int
	Points float64
}

// Used returns the files from which the scenario's rules come, but its own, in the order of their rules.
func (s Scenario) Used() []Used {
	var list []Used
	for _, w := range s.written {
		file := w.reader.src.name
		if file == s.src.name {
			continue
		}
		if n := len(list); n == 0 || list[n-1].File != file {
			list = append(list, Used{File: file})
		}
		last := &list[len(list)-1]
		last.Rules++
		last.Points += w.rule.Points
	}
	return list
}
