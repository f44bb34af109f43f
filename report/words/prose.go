package words

import (
	"html/template"
	"regexp"
)

// negativeWord is a word of a program with a negative number, as in Z-6.2.
var negativeWord = regexp.MustCompile(`\b[A-Z]-[0-9.]*[0-9]`)

// Prose is text for a page. A line must not break behind the minus of a word: Z- at its end and 6.2 on the next line
// read as Z6.2.
func Prose(s string) template.HTML {
	escaped := template.HTMLEscapeString(s)
	return template.HTML(negativeWord.ReplaceAllString(escaped, `<span class="unbroken">$0</span>`))
}
