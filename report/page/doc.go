// Package page writes pages for a browser or the machine: the report of a program, its set-up sheet, the index of a run
// and the chart of a table, each one file that needs no network.
//
//	result ──> words, picture.LayPlan, picture.LayChart ──> templates/*.tmpl ──> HTML, Sheet, Index, ChartHTML
//
// Text from outside goes through html/template alone. A page of 100,000 blocks stays below 5 MB: it shows the gravest
// findings and says how many more the result file has. It knows nothing of files and links but the names it is given.
package page
