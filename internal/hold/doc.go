// Package hold is the reducer: records in, state out.
package hold
