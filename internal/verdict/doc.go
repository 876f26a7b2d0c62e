// Package verdict turns an estimate and criteria into a verdict with reasons.
package verdict
