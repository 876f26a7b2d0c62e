package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"go.bug.st/serial"

	"example.org/holdfast/internal/profile"
)

const (
	defaultBaud = 9600
	// readTimeout is how long a Read waits before it says (0, nil): often
	// enough that a driver sees the end of its context, rarely enough to idle.
	readTimeout = 300 * time.Millisecond
	// idle is how soon a Read may come back with nothing. Some adapters ignore
	// the timeout, and their reader would turn in circles.
	idle = 10 * time.Millisecond
	// closePatience is how long Close waits for a Read to come back by itself.
	closePatience = 2 * time.Second
)

// errUnplugged says that the device went away under an open port.
var errUnplugged = errors.New("the port is gone: unplugged, or switched off")

// serialID is a serial port as the person said it.
type serialID struct {
	path           string // or
	usb, usbSerial string // the adapter's numbers
	baud           int    // 0 = 9600
	parity         string // none, even, odd; "" = none
}

func portOf(p profile.Profile) serialID {
	return serialID{p.Port, p.USB, p.USBSerial, p.Baud, p.Parity}
}

// speed is its baud rate.
func (id serialID) speed() int { return cmp.Or(id.baud, defaultBaud) }

// openSerial opens a port of 8 data bits without parity; baud 0 = 9600.
func openSerial(path string, baud int) (io.ReadWriteCloser, error) {
	return serialID{path: path, baud: baud}.open()
}

// open opens a serial port for one process alone. Its path may be a link
// (by-id): it is followed anew each time, as USB numbers are, so that an
// instrument that comes back under another name is found again.
func (id serialID) open() (io.ReadWriteCloser, error) {
	path, mode := id.path, serial.Mode{BaudRate: id.speed(), DataBits: 8, Parity: parities()[id.parity]}
	if path == "" {
		var err error
		if path, err = usbPort("/", id.usb, id.usbSerial); err != nil {
			return nil, err
		}
	}
	lock, err := lockPort(path)
	if err != nil {
		return nil, portTrouble(path, err)
	}
	port, err := serial.Open(path, &mode)
	if err == nil {
		err = port.SetReadTimeout(readTimeout)
	}
	if err != nil {
		if port != nil {
			port.Close()
		}
		lock.Close()
		return nil, portTrouble(path, err)
	}
	return &serialPort{port: port, lock: lock, path: path}, nil
}

func parities() map[string]serial.Parity {
	return map[string]serial.Parity{"even": serial.EvenParity, "odd": serial.OddParity} // else none
}

// errInUse says that another program has the port.
var errInUse = errors.New("in use by another program")

// portTrouble words an error of opening, with what to do about it.
func portTrouble(path string, err error) error {
	var port *serial.PortError
	code := serial.PortErrorCode(-1)
	if errors.As(err, &port) {
		code = port.Code()
	}
	switch {
	case errors.Is(err, fs.ErrNotExist) || code == serial.PortNotFound:
		return trouble(fmt.Errorf("port %q: %w", path, fs.ErrNotExist),
			"Check that the instrument is plugged in; `ls /dev/serial/by-id` names the ports found.")
	case errors.Is(err, fs.ErrPermission) || code == serial.PermissionDenied:
		return trouble(fmt.Errorf("port %q: %w", path, fs.ErrPermission), permissionHint(path))
	case errors.Is(err, errInUse) || errors.Is(err, syscall.EBUSY) || code == serial.PortBusy:
		return trouble(fmt.Errorf("port %q: %w", path, errInUse),
			"End the other program (a second holdfast, a terminal program, a modem service that probes new ports) and try again.")
	case errors.Is(err, syscall.EIO) || errors.Is(err, syscall.ENXIO) || errors.Is(err, syscall.ENODEV):
		return trouble(fmt.Errorf("port %q has no device behind it: %w", path, err), "Plug the adapter in again.")
	case code == serial.InvalidSpeed:
		return trouble(fmt.Errorf("port %q: the adapter cannot do this baud rate", path), "Take the baud rate from the manual of the instrument.")
	case code == serial.InvalidSerialPort || errors.Is(err, syscall.ENOTTY) || errors.Is(err, syscall.EISDIR):
		return trouble(fmt.Errorf("port %q is not a serial port: %w", path, err), "`ls /dev/serial/by-id` names the ports found.")
	}
	return trouble(fmt.Errorf("port %q: %w", path, err), "")
}

// serialPort is an open port. Reads come one at a time and return (0, nil)
// when nothing came; Close waits for the one in flight, because the library
// frees the descriptor before it wakes the reader, who might then read from
// whatever got the number next.
type serialPort struct {
	port    serial.Port
	lock    io.Closer
	path    string
	closing atomic.Bool
	reading sync.Mutex
	once    sync.Once
	err     error // of Close
}

func (p *serialPort) Read(b []byte) (int, error) {
	p.reading.Lock()
	defer p.reading.Unlock()
	if p.closing.Load() {
		return 0, fmt.Errorf("port %q: %w", p.path, os.ErrClosed)
	}
	if len(b) == 0 {
		return 0, nil // the library takes an empty read for a vanished port
	}
	begin := time.Now()
	n, err := p.port.Read(b)
	switch {
	case n > 0 || err == nil:
		if n == 0 {
			time.Sleep(idle - time.Since(begin))
		}
		return n, nil
	case p.closing.Load():
		return 0, fmt.Errorf("port %q: %w", p.path, os.ErrClosed)
	}
	return 0, fmt.Errorf("port %q: %w", p.path, vanished(err))
}

func (p *serialPort) Write(b []byte) (int, error) {
	if p.closing.Load() {
		return 0, fmt.Errorf("port %q: %w", p.path, os.ErrClosed)
	}
	n, err := p.port.Write(b)
	if err != nil {
		return n, fmt.Errorf("port %q: %w", p.path, vanished(err))
	}
	return n, nil
}

// vanished names the errors with which systems report an unplugged adapter.
// "Closed" is one of them: we did not close it.
func vanished(err error) error {
	var port *serial.PortError
	if errors.As(err, &port) && port.Code() == serial.PortClosed ||
		errors.Is(err, syscall.EIO) || errors.Is(err, syscall.ENXIO) || errors.Is(err, syscall.ENODEV) || errors.Is(err, syscall.EBADF) {
		return errUnplugged
	}
	return err
}

func (p *serialPort) Close() error {
	p.once.Do(func() {
		p.closing.Store(true)
		for begin := time.Now(); time.Since(begin) < closePatience; time.Sleep(idle) {
			if p.reading.TryLock() {
				defer p.reading.Unlock()
				break
			}
		}
		p.err = errors.Join(p.port.Close(), p.lock.Close())
	})
	return p.err
}
