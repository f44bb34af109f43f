package result

// Variants is one program checked with several values of its job.
type Variants struct {
	Program string // path
	SHA256  string
	Keys    []string // of the job
	Rows    []Variant
}

// Variant is one combination of values.
type Variant struct {
	Values []string // one for each key, as the user wrote them
	Result *Result
}
