package words

import (
	"strings"
)

// Decimal is a number of the result file: nine significant digits, null where there is no finite value.
type Decimal float64

// MarshalJSON implements json.Marshaler.
func (d Decimal) MarshalJSON() ([]byte, error) {
	if s := Number(float64(d)); s != "" {
		return []byte(s), nil
	}
	return []byte("null"), nil
}

// Sentence gives text a capital and a full stop.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + strings.TrimSuffix(s[1:], ".") + "."
}
