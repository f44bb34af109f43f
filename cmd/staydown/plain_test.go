package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// plainVariable names a build of this test without the race detector.
const plainVariable = "STAYDOWN_TEST_PLAIN"

// raceVariable holds the settings of the race detector (Go documentation, "Data Race Detector").
const raceVariable = "GORACE"

// lightly runs the tests so that the race detector costs little. The runs are under it, where goroutines share things;
// the workers that they start, which do the arithmetic, are not: the packages of the arithmetic have their own tests.
type lightly struct{ m *testing.M }

func (l lightly) Run() int {
	if !raceDetector {
		return l.m.Run()
	}
	// A program under the detector sleeps for a second at its end unless told otherwise.
	os.Setenv(raceVariable, "atexit_sleep_ms=0 "+os.Getenv(raceVariable))
	dir, err := os.MkdirTemp("", "staydown-plain")
	if err != nil {
		return l.m.Run()
	}
	defer os.RemoveAll(dir)
	plain := filepath.Join(dir, "staydown")
	// Where it cannot be built, workers are under the detector too, which only takes longer.
	if exec.Command("go", "test", "-c", "-race=false", "-o", plain, ".").Run() == nil {
		os.Setenv(plainVariable, plain)
	}
	return l.m.Run()
}

// becomePlain makes a worker under the race detector one without, if there is a build for it.
func becomePlain() {
	plain := os.Getenv(plainVariable)
	if !raceDetector || plain == "" || len(os.Args) < 2 || os.Args[1] != workerVerb {
		return
	}
	_ = syscall.Exec(plain, os.Args, os.Environ()) // it goes on as it is where that is not possible
}
