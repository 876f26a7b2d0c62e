package holdlog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/gofrs/flock"
)

// ErrInUse: another holdfast writes this log.
var ErrInUse = errors.New("already in use by another holdfast; close that one, or give another file")

// fileLock is a kernel lock on a file beside the log: it dies with its process,
// and a reader of the log, a spreadsheet too, is not kept out.
type fileLock struct{ f *flock.Flock }

// Lock takes the lock of another file that only one holdfast may change, without
// waiting; ErrInUse where somebody has it.
func Lock(path string) (unlock func(), err error) {
	l, err := lockFor(path)
	if err != nil {
		return nil, err
	}
	return l.release, nil
}

// lockFor takes the lock of the log at path without waiting.
func lockFor(path string) (*fileLock, error) {
	name := path + ".lock"
	for range 10 {
		f := flock.New(name, flock.SetPermissions(0o644))
		ok, err := f.TryLock()
		switch {
		case errors.Is(err, errors.ErrUnsupported): // some network shares: better unlocked than unrecorded
			return &fileLock{f}, nil
		case errors.Is(err, fs.ErrNotExist):
			return nil, fmt.Errorf("log %q: its folder does not exist; make it first", path)
		case err != nil:
			return nil, fmt.Errorf("log %q cannot be locked: %w", path, err)
		case !ok:
			return nil, fmt.Errorf("log %q: %w", path, ErrInUse)
		case sameFile(f, name):
			return &fileLock{f}, nil
		}
		_ = f.Unlock() // removed by its last owner between our open and our lock
	}
	return nil, fmt.Errorf("log %q: %w", path, ErrInUse)
}

func sameFile(f *flock.Flock, name string) bool {
	held, err := f.Stat()
	if err != nil {
		return false
	}
	named, err := os.Stat(name)
	return err == nil && os.SameFile(held, named)
}

// release removes the lock file and unlocks. On Windows the file stays, which
// does no harm: it is the lock that counts, not the file.
func (l *fileLock) release() {
	if l == nil {
		return
	}
	_ = os.Remove(l.f.Path())
	_ = l.f.Unlock()
}
