package annotate

import "flag"

// Random tests run from one seed, so that a change is green or red, not now this and now that. -rapid.seed on the
// command line comes after.
func init() {
	if err := flag.Set("rapid.seed", "1"); err != nil {
		panic(err)
	}
}
