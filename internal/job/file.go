package job

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"example.org/holdfast/internal/holdlog"
)

// ErrExists: a job file is never written over.
var ErrExists = errors.New("there is such a file already")

// Load reads a job file.
func Load(path string) (*Job, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("job: %w", err)
	}
	j, err := Parse(string(text))
	if err != nil {
		return nil, fmt.Errorf("job %q: %w", path, err)
	}
	return j, nil
}

// Create writes a new job file with these values at its head.
func Create(path string, values []Value) error {
	text := appended("# A job of holdfast. Edit it as you like: commands add to it and keep your comments.\n", "", values)
	if _, err := Parse(text); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("job %q: %w", path, ErrExists)
	}
	if err != nil {
		return fmt.Errorf("job: %w", err)
	}
	_, err = f.WriteString(text)
	return errors.Join(err, f.Sync(), f.Close())
}

// Add puts a table (section, joint, hold, mark, closeup) at the end of the file.
func Add(path, table string, values []Value) error {
	return update(path, func(text string, _ *Job) (string, error) { return appended(text, table, values), nil })
}

// Change gives the section or joint of that id other values; ok = it is there.
func Change(path, table, id string, values []Value) error {
	return update(path, func(text string, before *Job) (string, error) {
		n := before.index(table, id)
		if n < 0 {
			return "", fmt.Errorf("there is no %s %q", table, id)
		}
		next, err := changed(text, table, n, values)
		if err != nil {
			return "", err
		}
		after, err := Parse(next)
		if err == nil && !same(before, after, map[string]string{"section": "Sections", "joint": "Joints"}[table]) {
			err = errByHand
		}
		return next, err
	})
}

func (j *Job) index(table, id string) int {
	switch table {
	case "section":
		for i, s := range j.Sections {
			if s.ID == id {
				return i
			}
		}
	case "joint":
		for i, x := range j.Joints {
			if x.ID == id {
				return i
			}
		}
	}
	return -1
}

// update changes the file under a lock. What is written is read back first, so
// a bad value never reaches the file, and the file is replaced in one step, so
// a crash leaves the old one or the new one.
func update(path string, edit func(text string, before *Job) (string, error)) error {
	unlock, err := lock(path)
	if err != nil {
		return err
	}
	defer unlock()
	text, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("job: %w", err)
	}
	before, err := Parse(string(text))
	if err != nil {
		return fmt.Errorf("job %q: %w", path, err)
	}
	next, err := edit(string(text), before)
	if err == nil {
		_, err = Parse(next)
	}
	if err != nil {
		return fmt.Errorf("job %q was not changed: %w", path, err)
	}
	if bytes.Equal(text, []byte(next)) {
		return nil
	}
	return replace(path, next)
}

const (
	lockWait  = 5 * time.Second // how long a change waits for another one
	lockEvery = 50 * time.Millisecond
)

// lock waits for the right to change the file.
func lock(path string) (unlock func(), err error) {
	for waited := time.Duration(0); ; waited += lockEvery {
		unlock, err = holdlog.Lock(path)
		if !errors.Is(err, holdlog.ErrInUse) || waited >= lockWait {
			break
		}
		time.Sleep(lockEvery)
	}
	if err != nil {
		return nil, fmt.Errorf("job %q cannot be changed: %w", path, err)
	}
	return unlock, nil
}

// replace puts a text in the place of a file.
func replace(path, text string) (err error) {
	if path, err = filepath.EvalSymlinks(path); err != nil { // the link stays, and what it points to changes
		return fmt.Errorf("job: %w", err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return fmt.Errorf("job: %w", err)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".job-*.toml")
	if err != nil {
		return fmt.Errorf("job: %w", err)
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name())
		}
	}()
	_, err = f.WriteString(text)
	if err := errors.Join(err, f.Chmod(info.Mode().Perm()), f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("job %q was not changed: %w", path, err)
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return fmt.Errorf("job %q was not changed: %w", path, err)
	}
	return nil
}
