package main

import (
	"context"
	"strings"
	"testing"
	"time"
)

// A run or a limit that is over before the worker starts is no breakdown of the worker.
func TestWorkerNotStartedInTime(t *testing.T) {
	over, cancel := context.WithCancel(t.Context())
	cancel()
	if a, broke := runWorker(over, request{}, time.Hour); a != nil || broke != nil {
		t.Errorf("after the end of the run: %v, %v", a, broke)
	}
	a, broke := runWorker(t.Context(), request{}, time.Nanosecond)
	if a != nil || broke == nil || !strings.Contains(broke.reason, "took longer than 1ns") {
		t.Errorf("after the limit: %v, %v", a, broke)
	}
}
