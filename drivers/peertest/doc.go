// Package peertest is for tests: serial lines between processes, made of
// pseudo-terminals, that can be pulled out and plugged in again, and MODBUS
// units at their other end that are not ours (libmodbus and pymodbus). It works
// on Linux; elsewhere it is empty.
package peertest
