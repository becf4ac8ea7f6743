package knowledge

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"

	"presshand/knowledge/document"
)

//go:embed base/*.yaml
var builtin embed.FS

// Builtin returns the files that are part of the program.
func Builtin() fs.FS { return builtin }

// Folder returns the knowledge files of a folder; problems name them with
// their path.
func Folder(dir string) fs.FS { return folder{os.DirFS(dir), dir} }

type folder struct {
	fs.FS
	dir string
}

// Load reads the files of one or more sets, usually Builtin and the Folder
// of a shop. An entry of a later set replaces the entry of the same section and
// id of an earlier one, whole. The error is a Problems, with everything that
// is wrong.
func Load(files ...fs.FS) (*Base, error) {
	base, problems := load(files, unpackBuiltin)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return base, nil
}

// Check returns everything that is wrong with the files, sorted by place.
func Check(files ...fs.FS) []Problem {
	_, problems := load(files, nil)
	return problems
}

// load reads the sets, and more files over them. Where ready is given, it may
// save reading the built-in files as the first set.
func load(sets []fs.FS, ready func() (*Base, error), more ...reading) (*Base, Problems) {
	c := newChecker()
	if ready != nil && len(sets) > 0 && isBuiltin(sets[0]) {
		if base, err := ready(); err == nil {
			c.adopt(base)
			sets = sets[1:]
			if len(sets) == 0 && len(more) == 0 {
				return base, nil
			}
		}
	}
	for _, set := range sets {
		readings, problems := readSet(set)
		c.problems = append(c.problems, problems...)
		c.merge(readings)
	}
	c.merge(more)
	c.check()
	for _, f := range c.files {
		c.problems = append(c.problems, f.Problems...)
	}
	return c.base, c.problems.Sort()
}

func isBuiltin(set fs.FS) bool {
	e, ok := set.(embed.FS)
	return ok && e == builtin
}

// Bounds on what is taken for a knowledge folder: far above any real one, low
// enough that the wrong folder (a home, a disk) is refused at once.
const (
	mostFiles = 500
	deepest   = 2 // levels of folders
)

// readSet reads every YAML file of a set, sorted by name, on all processors.
func readSet(set fs.FS) ([]reading, Problems) {
	names, problems := yamlFiles(set)
	readings := make([]reading, len(names))
	failures := make([]error, len(names))
	turn := make(chan struct{}, runtime.GOMAXPROCS(0))
	var done sync.WaitGroup
	for i, name := range names {
		done.Go(func() {
			turn <- struct{}{}
			defer func() { <-turn }()
			data, err := readLimited(set, name)
			if failures[i] = err; err == nil {
				readings[i] = read(shownName(set, name), data)
			}
		})
	}
	done.Wait()
	for i, err := range failures {
		if err != nil {
			problems = append(problems, unreadable(shownName(set, names[i]), err))
		}
	}
	return slices.DeleteFunc(readings, func(r reading) bool { return r.file == nil }), problems
}

// readLimited reads a file, and of one that is too large just enough for the
// reader to see that it is.
func readLimited(set fs.FS, name string) ([]byte, error) {
	info, err := fs.Stat(set, name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("not a plain file")
	}
	if info.Size() > document.MaxBytes {
		return make([]byte, info.Size()), nil
	}
	return fs.ReadFile(set, name)
}

func shownName(set fs.FS, name string) string {
	if f, ok := set.(folder); ok {
		return path.Join(f.dir, name)
	}
	return name
}

func unreadable(name string, err error) Problem {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		err = pathErr.Err
	}
	return Problem{Pos: Pos{File: name, Line: 1, Column: 1}, Rule: "file", Message: fmt.Sprintf("cannot read: %v", err),
		Mend: "check the name and the rights of the file"}
}

// yamlFiles lists the YAML files of a set and of its folders; hidden ones are
// left out.
func yamlFiles(set fs.FS) ([]string, Problems) {
	var names []string
	var problems Problems
	err := fs.WalkDir(set, ".", func(name string, d fs.DirEntry, err error) error {
		switch ext := path.Ext(name); {
		case err != nil:
			problems = append(problems, unreadable(shownName(set, name), err))
			return fs.SkipDir
		case name == ".":
			return nil
		case strings.HasPrefix(d.Name(), "."), d.IsDir() && strings.Count(name, "/") >= deepest:
			if d.IsDir() {
				return fs.SkipDir
			}
		case !d.IsDir() && (ext == ".yaml" || ext == ".yml"):
			names = append(names, name)
			if len(names) > mostFiles {
				return fmt.Errorf("more than %d YAML files: is this the knowledge folder?", mostFiles)
			}
		}
		return nil
	})
	if err != nil {
		problems = append(problems, unreadable(shownName(set, "."), err))
	}
	if len(names) == 0 && len(problems) == 0 && !bare(set) {
		problems = append(problems, unreadable(shownName(set, "."), errors.New("no YAML files (*.yaml) here")))
	}
	return names, problems
}

// bare reports a folder with nothing in it that shows: a shop's new one, which
// its first rule is yet to fill.
func bare(set fs.FS) bool {
	if _, ok := set.(folder); !ok {
		return false
	}
	entries, err := fs.ReadDir(set, ".")
	return err == nil && !slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return !strings.HasPrefix(e.Name(), ".") })
}
