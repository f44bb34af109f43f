// Package reporttest holds what the tests of reports share: a made-up nest with its result, programs of 100,000
// samples, and the comparison with golden files and pictures (-update rewrites them; LOOK names a folder that keeps
// what is drawn).
package reporttest
