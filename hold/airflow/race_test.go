//go:build race

package airflow

import (
	"flag"
	"os"
	"testing"
)

// TestMain puts each law to a quarter of the usual number of random cases: the race detector makes each about ten times
// as slow. A number given on the command line still counts.
func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", "25"); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}
