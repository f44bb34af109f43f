package words

import "testing"

func TestWordsWithMinusAreNotBroken(t *testing.T) {
	const want = `end at <span class="unbroken">Z-5.850</span>, not <span class="unbroken">Z-6</span> ` +
		`(10 &lt; 12, up-cut)`
	if got := Prose("end at Z-5.850, not Z-6 (10 < 12, up-cut)"); string(got) != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}
