//go:build linux || darwin || freebsd || openbsd || netbsd

package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/user"
	"strconv"
	"syscall"

	"golang.org/x/sys/unix"
)

// lockPort takes an advisory lock on a descriptor of its own. The exclusive
// mode that the library sets does not stop root, and comes after the port's
// settings were changed; serial programs respect this lock by custom.
func lockPort(path string) (io.Closer, error) {
	fd, err := unix.Open(path, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, &fs.PathError{Op: "open", Path: path, Err: err}
	}
	if err := unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB); err != nil {
		unix.Close(fd)
		if errors.Is(err, unix.EWOULDBLOCK) {
			return nil, errInUse
		}
		return nil, &fs.PathError{Op: "lock", Path: path, Err: err}
	}
	return portLock(fd), nil
}

// portLock is the locked descriptor; closing it lets go. It is no os.File,
// whose poller has no business with a terminal.
type portLock int

func (l portLock) Close() error { return unix.Close(int(l)) }

// permissionHint says how this user gets at the port: through the group that
// the node itself names, for it is not the same on every system.
func permissionHint(path string) string {
	const nobody = "Only root may open it; a udev rule can give it to a group, such as MODE=\"0660\", GROUP=\"dialout\"."
	info, err := os.Stat(path)
	if err != nil {
		return "Check who may read the folder of the port."
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok || stat.Gid == 0 || info.Mode().Perm()&0o060 != 0o060 {
		return nobody
	}
	group := strconv.FormatUint(uint64(stat.Gid), 10)
	if g, err := user.LookupGroupId(group); err == nil {
		group = g.Name
	}
	return fmt.Sprintf("It belongs to the group %q: run \"sudo usermod -aG %s $USER\", then log out and in again.", group, group)
}

// mayOpen reports whether this user may open a port, without opening it.
func mayOpen(path string) bool {
	err := unix.Access(path, unix.R_OK|unix.W_OK)
	return err == nil || !errors.Is(err, unix.EACCES)
}
