//go:build race

package airflow

import "flag"

// The race detector makes each random case about ten times as slow, so there are a quarter of the usual number. A
// number given on the command line comes after.
func init() {
	if err := flag.Set("rapid.checks", "25"); err != nil {
		panic(err)
	}
}
