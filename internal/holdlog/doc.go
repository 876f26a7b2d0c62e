// Package holdlog is the record of a hold: one append-only JSON Lines file.
package holdlog
