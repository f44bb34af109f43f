package main

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"

	"staydown/cmd/staydown/memory"
	"staydown/cmd/staydown/store"
	"staydown/hold/result"
	"staydown/report"
	"staydown/report/annotate"
)

// Each program is analysed in its own process, a worker: a panic, endless work or too much memory ends that worker
// only, and the run continues. A worker that is asked to stay serves one program again and again, and keeps what the
// next analysis can use.
//
//	run    -- request (one line of JSON) -->  worker
//	       <-- drafts, then the answer   --   (records, each after its length)
//	       -- end of standard input      -->  the run is gone: the worker exits

// workerVerb is the command that makes this program a worker. It is internal and in no help text.
const workerVerb = "analyse-one"

// Exit statuses of a worker that returns no answer.
const (
	workerParentGone = 4
	workerOverMemory = 5 // took more memory than it was given
	workerBadRequest = 6 // request or answer could not be passed on
)

// want selects which output files of a program are made.
type want uint8

const (
	wantVerdict  want = iota // for the terminal: remedies of single findings only where no action holds
	wantFindings             // and the remedies of all findings
	wantJSON                 // and the result file
	wantPlain                // and all other files without pictures
	wantAll
)

// request asks a worker for one analysis.
type request struct {
	Path, Setup    []byte // file names need not be UTF-8; strings in JSON must be
	Margin, CellMM float64
	Strict         bool
	BlockDelete    bool
	Since          string
	Set            []string
	Jobs           int
	Want           want
	Sheet          bool
	MemoryBytes    int64 // limit for the worker
	Stay           bool  // for another request

	Draft bool          // send drafts of the answer as well
	show  func(*answer) // takes them
}

// answer is what a worker found.
type answer struct {
	Draft    bool // actions are still looked for, and there are no files
	Inputs   inputs
	Status   int    // 0, or that of the problem
	Message  string // of the problem
	Fleeting bool
	Result   result.Result // light
	Lines    []lineText
	Files    []file
}

// lineText is a program line that a finding points at.
type lineText struct {
	Line int
	Text string
}

// file is an output file of one program.
type file struct {
	Suffix string // to the program's name below the output folder
	Data   []byte
}

// analyser is what a worker runs: analyse, or a stand-in in tests.
type analyser func(path string, s settings) (*dryRun, *problem)

// serveRequests answers a request, and more as long as they ask it to stay.
func serveRequests(s streams, work analyser) int {
	requests := make(chan []byte)
	go func() {
		defer close(requests) // the run has ended
		in := bufio.NewReader(s.in)
		for {
			line, err := in.ReadBytes('\n')
			if err != nil {
				return
			}
			requests <- line
		}
	}()
	overMemory := make(chan uint64)
	known := &kept{}
	for n := 0; ; n++ {
		var req request
		line, ok := <-requests
		switch {
		case !ok && n > 0:
			return 0
		case !ok || json.Unmarshal(line, &req) != nil:
			complain(s.err, fmt.Errorf("%s is for staydown's own use; see staydown --help for the commands",
				workerVerb))
			return workerBadRequest
		}
		if n == 0 {
			memory.Limit(req.MemoryBytes, overMemory)
		}
		done := make(chan error)
		go func() { done <- serve(s, req, work, known) }()
		select {
		case err := <-done:
			if err != nil {
				complain(s.err, err)
				return workerBadRequest
			}
		case <-requests: // none comes before the answer
			return workerParentGone
		case <-overMemory:
			return workerOverMemory
		}
		if !req.Stay {
			return 0
		}
	}
}

// serve answers one request.
func serve(s streams, req request, work analyser, known *kept) error {
	var draft func(*answer)
	if req.Draft {
		draft = func(a *answer) { _ = send(s.out, a) } // the answer that follows meets the same error
	}
	if !req.Stay {
		known = nil
	}
	a := perform(req, work, known, draft)
	known.dropUnused()
	return send(s.out, a)
}

// send writes an answer after its length.
func send(w io.Writer, a *answer) error {
	data, err := store.Pack(a)
	if err == nil {
		_, err = w.Write(append(binary.AppendUvarint(nil, uint64(len(data))), data...))
	}
	return err
}

// perform analyses one program and renders the files that the request names. draft, unless nil, is given the answer
// without actions as soon as there is one, and again with each further action. known, unless nil, keeps what another
// analysis of the program can use.
func perform(req request, work analyser, known *kept, draft func(*answer)) *answer {
	path := string(req.Path)
	set := settings{setup: string(req.Setup), margin: req.Margin, cellMM: req.CellMM, strict: req.Strict,
		blockDelete: req.BlockDelete, set: req.Set, since: req.Since, jobs: req.Jobs, noPictures: req.Want < wantAll,
		noRemedies: true, known: known}
	d, p := work(path, set)
	a := &answer{Inputs: d.inputs}
	if p == nil {
		if d.analysis != nil {
			if req.Want >= wantFindings {
				d.analysis.AddRemedies()
			}
			var show func()
			if draft != nil && d.analysis.Result.Verdict != result.Held {
				show = func() { draft(&answer{Draft: true, Result: light(d.analysis.Result), Lines: linesOf(d)}) }
				show()
			}
			d.analysis.AddActions(show)
			if req.Want < wantFindings && len(d.analysis.Result.Actions) == 0 {
				d.analysis.AddRemedies()
			}
		}
		if a.Files, p = render(d, req.Want, req.Sheet, req.Jobs); p == nil {
			a.Result, a.Lines = light(d.analysis.Result), linesOf(d)
			return a
		}
	}
	a.Status, a.Message, a.Fleeting = p.status, gnuForm(p), p.fleeting
	a.Result = *unanalysedResult(path, p.Error())
	if req.Want >= wantJSON {
		data, err := report.JSON(&a.Result)
		if err != nil {
			a.Message += "; " + err.Error()
			return a
		}
		a.Files = []file{{suffixResult, data}}
	}
	return a
}

// linesOf keeps the lines of the findings: SARIF fingerprints need them.
func linesOf(d *dryRun) []lineText {
	all := annotate.FindingLines(d.analysis.Result, d.src)
	var out []lineText
	last := 0
	for _, f := range d.analysis.Result.Findings { // in order of line
		if text, ok := all[f.Line]; ok && f.Line != last {
			out = append(out, lineText{f.Line, text})
			last = f.Line
		}
	}
	return out
}

// light drops what only the program's own files show, which is most of a result's size. The files of a whole run are
// made from light results; the timeline stays because the index draws it.
func light(r *result.Result) result.Result {
	out := *r
	out.Fields, out.Tools, out.Entries, out.Kerf = nil, nil, nil, result.Kerf{}
	out.Job.StockOutline, out.Job.Zones, out.Job.Clamps, out.Job.Fixtures, out.Job.Table = nil, nil, nil, nil, nil
	out.Pieces = append([]result.Piece(nil), r.Pieces...)
	for i := range out.Pieces {
		out.Pieces[i].Outline = nil
	}
	return out
}
