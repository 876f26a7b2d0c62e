package main

import (
	"errors"
	"fmt"
	"net"
	"strings"

	"github.com/alecthomas/kong"

	"example.org/holdfast/internal/serve"
)

// serveFlag is --serve, for this machine only, or --serve=lan, for its
// network; a port may follow a colon, else the system chooses one.
type serveFlag struct {
	on, lan bool
	port    string
}

// IsBool tells the parser that the value may be left out.
func (*serveFlag) IsBool() bool { return true }

// Decode reads the flag.
func (f *serveFlag) Decode(ctx *kong.DecodeContext) error {
	f.on, f.port = true, "0"
	if ctx.Scan.Peek().Type != kong.FlagValueToken {
		return nil
	}
	value := fmt.Sprint(ctx.Scan.Pop().Value)
	where, port, found := strings.Cut(value, ":")
	switch where {
	case "lan":
		f.lan = true
	case "", "local":
	default:
		return fmt.Errorf("%q is neither lan nor local, with or without a port such as lan:8080", value)
	}
	if found {
		f.port = port
	}
	return nil
}

// phone is the page for a phone while it is served; nil = none is wanted.
type phone struct {
	listener net.Listener
	lan      net.IP // this machine's address in its network; nil = the page stays here
	server   *serve.Server
}

// openPhone takes the port, before anything is recorded. Nothing is answered yet.
func openPhone(f serveFlag) (*phone, error) {
	if !f.on {
		return nil, nil
	}
	p := &phone{}
	at := "127.0.0.1"
	if f.lan {
		if p.lan = lanAddress(); p.lan == nil {
			return nil, trouble(errors.New("--serve=lan: this machine has no address in a network"), "Connect it to the phone's network, or leave =lan out.")
		}
		at = p.lan.String()
	}
	var err error
	if p.listener, err = net.Listen("tcp", net.JoinHostPort(at, f.port)); err != nil {
		return nil, trouble(fmt.Errorf("--serve: %w", err), "Choose another port, or none: the system finds a free one.")
	}
	return p, nil
}

// lanAddress is this machine's IPv4 address in its network, one of a private
// network (RFC 1918) before any other.
func lanAddress() (ip net.IP) {
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range addrs {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.To4() == nil || !n.IP.IsGlobalUnicast() {
			continue
		}
		if ip == nil || n.IP.IsPrivate() && !ip.IsPrivate() {
			ip = n.IP
		}
	}
	return ip
}

// start answers for the holds from now on.
func (p *phone) start(feeds ...serve.Feed) {
	if p == nil {
		return
	}
	p.server = serve.New(feeds, p.listener.Addr().(*net.TCPAddr).IP.String())
	go func() { _ = p.server.Serve(p.listener) }() // it ends with stop; a page that breaks must not end a hold
}

func (p *phone) stop() {
	if p == nil {
		return
	}
	_ = p.listener.Close()
	if p.server != nil {
		p.server.Stop()
	}
}

// address is what the phone must open; "" = nothing.
func (p *phone) address() string {
	if p == nil {
		return ""
	}
	return "http://" + p.listener.Addr().String() + p.server.Path()
}

// lines show the address, and for other machines a code that a phone can read.
func (p *phone) lines() []string {
	if p == nil {
		return nil
	}
	lines := []string{p.address()}
	if p.lan == nil {
		return append(lines, "on this machine only; --serve=lan opens it to a phone in the same network")
	}
	code, err := serve.QR(p.address())
	if err != nil {
		return lines
	}
	who := "read-only, not encrypted; whoever has this address can look"
	if !p.lan.IsPrivate() {
		who += ", perhaps from outside your network too"
	}
	return append(append(lines, who), code...)
}
