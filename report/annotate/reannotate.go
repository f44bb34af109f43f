package annotate

import (
	"bytes"
	"slices"
	"strings"

	"staydown/hold/result"
)

// Every comment of an annotated copy is signed, so that a copy of the copy can tell them from the program's own.
const (
	signature = "STAYDOWN "    // begins a comment
	continued = "STAYDOWN... " // begins the further lines of one

	headTitle    = "ANNOTATED COPY OF "
	headChanged  = "CHANGED"
	headCaution  = "CAUTION"
	headAction   = "WHAT TO DO"
	headFeed     = "FEED" // stays in a copy of the copy, as the feed does
	headFeedLeft = "FEED KEPT"

	headUnstopped = "NO STOP"

	stopWord  = "M1"
	stopTitle = "STOP: "
)

// earlierAnnotations finds the lines that an earlier annotation added to the program: its comments and, when asked for,
// its optional stops; kept counts the stops that were not asked for. Only a program whose head says that it is a copy
// has such lines. A comment counts only when it fills its line, so that leaving it out changes no block.
func earlierAnnotations(lines []ProgramLine, stopsToo bool) (dropped map[int]bool, kept int) {
	title := signature + headTitle
	begins := []string{title, signature + headChanged + ": ", signature + headUnstopped + ": ", signature +
		headCaution + ": ", signature + headAction + " ", signature + headFeedLeft + " ", continued}
	for _, w := range annotationWords() {
		begins = append(begins, signature+strings.ToUpper(w)+": ")
	}
	dropped = make(map[int]bool)
	isCopy := false
	for i := range lines {
		text := bytes.TrimPrefix(lines[i].Text, byteOrderMark)
		comment, ok := wholeComment(text)
		switch {
		case ok && strings.HasPrefix(comment, title):
			isCopy = true
			dropped[i] = true
		case !isCopy:
			continue
		case ok && slices.ContainsFunc(begins, func(p string) bool { return strings.HasPrefix(comment, p) }):
			dropped[i] = true
		case isStop(text) && stopsToo:
			dropped[i] = true
		case isStop(text):
			kept++
		}
	}
	return dropped, kept
}

// annotationWords are the words that comments about findings begin with; see word.
func annotationWords() []string {
	out := []string{result.Loose.String(), result.AtRisk.String()}
	for _, r := range result.Rules() {
		out = append(out, r.ID)
	}
	return out
}

// wholeComment gives the text of a line that is one comment as commentLines writes them, and nothing else.
func wholeComment(line []byte) (text string, ok bool) {
	s := string(line)
	if rest, semicolon := strings.CutPrefix(s, "; "); semicolon {
		return rest, true
	}
	if !strings.HasPrefix(s, "(") || strings.IndexByte(s, ')') != len(s)-1 || strings.LastIndexByte(s, '(') != 0 {
		return "", false
	}
	return s[1 : len(s)-1], true
}

// isStop tells whether a line is an optional stop that Program added.
func isStop(line []byte) bool {
	rest, ok := strings.CutPrefix(string(line), stopWord+" ")
	if !ok {
		return false
	}
	comment, ok := wholeComment([]byte(rest))
	return ok && strings.HasPrefix(comment, signature+stopTitle)
}
