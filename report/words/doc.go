// Package words says what is known of a program, a chart or a drawing in the words that the terminal, pages and
// pictures share, and makes text from outside fit to be shown.
//
//	words.Headline(r)                 "2 of 20 parts come loose; 1 more is at risk."
//	words.Alarm(r)                    "set the alarm at 58.4 kPa (584 mbar); never below 31.2 kPa (312 mbar)"
//	words.Visible("a\u202ecn.txt")    `a\u202ecn.txt`
//
// It knows nothing of where the words stand.
package words
