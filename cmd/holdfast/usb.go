package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"example.org/holdfast/drivers"
)

// port is a serial port of this machine, found without opening it.
type port struct {
	Path      string `json:"port"`
	ByID      string `json:"by_id,omitempty"` // the name that stays the same
	USB       string `json:"usb,omitempty"`   // vendor and product numbers
	USBSerial string `json:"usb_serial,omitempty"`
	Product   string `json:"product,omitempty"` // what the adapter calls itself
}

// portsUnder finds the serial ports that have a device behind them, in a root
// folder with sys and dev. Opening is no way to look: it would set the speed of
// a port that another program uses. The kernel also lists ports that are not
// there, with type 0 (Documentation/ABI/testing/sysfs-tty).
func portsUnder(root string) []port {
	tty := filepath.Join(root, "sys/class/tty")
	entries, err := os.ReadDir(tty)
	if err != nil {
		return nil // another system
	}
	names := byID(root)
	var all []port
	for _, e := range entries {
		dir := filepath.Join(tty, e.Name())
		device, err := filepath.EvalSymlinks(filepath.Join(dir, "device"))
		if err != nil || firstLine(filepath.Join(dir, "type")) == "0" {
			continue // a terminal of the screen or of a program, or a port that is not there
		}
		p := port{Path: "/dev/" + e.Name(), ByID: names[e.Name()]}
		p.identify(device)
		all = append(all, p)
	}
	return all
}

// usbDepth is how far above a port its USB device stands at most: the port of a
// converter hangs on a port of the driver's, and that on an interface.
const usbDepth = 4

// identify looks for the USB device above a port.
func (p *port) identify(dir string) {
	for range usbDepth {
		if vendor := firstLine(filepath.Join(dir, "idVendor")); vendor != "" {
			p.USB = strings.ToLower(vendor + ":" + firstLine(filepath.Join(dir, "idProduct")))
			p.USBSerial, p.Product = firstLine(filepath.Join(dir, "serial")), firstLine(filepath.Join(dir, "product"))
			return
		}
		dir = filepath.Dir(dir)
	}
}

// byID gives the lasting names of the ports.
func byID(root string) map[string]string {
	names := map[string]string{}
	dir := filepath.Join(root, "dev/serial/by-id")
	entries, err := os.ReadDir(dir)
	if err != nil {
		return names
	}
	for _, e := range entries {
		if target, err := os.Readlink(filepath.Join(dir, e.Name())); err == nil {
			names[filepath.Base(target)] = "/dev/serial/by-id/" + e.Name()
		}
	}
	return names
}

// firstLine reads a file of the kernel's; "" = it is not there.
func firstLine(name string) string {
	b, err := os.ReadFile(name)
	if err != nil {
		return ""
	}
	line, _, _ := strings.Cut(string(b), "\n")
	return drivers.Printable(strings.TrimSpace(line))
}

// usbPort finds the port of an adapter by its USB numbers, and its serial number
// where one is given.
func usbPort(root string, usb, serialNumber string) (string, error) {
	if runtime.GOOS != "linux" {
		return "", usage("Give the port with --port.", "a port by its USB numbers is found on Linux only")
	}
	all := slices.DeleteFunc(portsUnder(root), func(p port) bool {
		return !strings.EqualFold(p.USB, usb) || serialNumber != "" && p.USBSerial != serialNumber
	})
	switch len(all) {
	case 0:
		return "", trouble(fmt.Errorf("no port with USB numbers %s %s: %w", usb, serialNumber, fs.ErrNotExist),
			"Check that the adapter is plugged in; `holdfast devices list` shows the ports found.")
	case 1:
		return all[0].Path, nil
	}
	return "", trouble(fmt.Errorf("%d ports have the USB numbers %s", len(all), usb),
		"Add the serial number behind it, as in --usb 1a86:7523/A50285BI, or name the port with --port.")
}

// modemNote warns of the service that talks to new ports for a while, in case
// they are modems. It is found by the name of its process.
func modemNote(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if name := filepath.Base(path); !strings.HasPrefix(name, "ttyACM") && !strings.HasPrefix(name, "ttyUSB") {
		return ""
	}
	comms, _ := filepath.Glob("/proc/[0-9]*/comm") // the only error is of the pattern
	for _, c := range comms {
		if strings.HasPrefix(firstLine(c), "ModemManager") {
			return "a modem service runs here: for some seconds after an adapter is plugged in it may hold the port and talk to the instrument"
		}
	}
	return ""
}
