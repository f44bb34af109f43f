package words

import (
	"staydown/hold/result"
)

// PassedOver is a file or folder of a run that was not looked at on purpose.
type PassedOver struct{ Path, Why string }

// WhyUnanalysed says why there is no analysis; "" where there is one.
func WhyUnanalysed(r *result.Result) string {
	for _, f := range r.Findings {
		if f.Rule == result.RuleUnanalysed {
			return Visible(f.Message)
		}
	}
	return ""
}
