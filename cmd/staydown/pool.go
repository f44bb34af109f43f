package main

import (
	"fmt"
	"iter"
	"runtime/debug"

	"staydown/hold"
)

// analyseAll analyses targets, at most o.workers at once, and yields the outcomes in the order of the targets.
// No more than twice that many outcomes wait for their turn, so that memory stays bounded.
func analyseAll(targets []target, o *checkOptions) iter.Seq[outcome] {
	return func(yield func(outcome) bool) {
		waiting := make([]chan outcome, len(targets))
		for i := range waiting {
			waiting[i] = make(chan outcome, 1)
		}
		slots := make(chan struct{}, o.workers)
		stop := make(chan struct{})
		defer close(stop)
		go func() {
			for i, t := range targets {
				select {
				case slots <- struct{}{}:
				case <-stop:
					return
				}
				go func() { waiting[i] <- analyseOne(t, o.settings) }()
			}
		}()
		for i := range targets {
			out := <-waiting[i]
			if !yield(out) {
				return
			}
			<-slots
		}
	}
}

// analyseOne analyses one target; whatever happens in there, an outcome comes back.
func analyseOne(t target, s settings) (out outcome) {
	out.target = t
	defer func() {
		if r := recover(); r != nil {
			out.run = nil
			out.fail = unanalysed("%s: the analysis broke off (%v); do not run it on the strength of this analysis", t.path, r)
			out.stack = debug.Stack()
			out.result = hold.Unanalysed(t.path, fmt.Sprintf("the analysis broke off: %v", r))
		}
	}()
	run, p := analyse(t.path, s)
	if p != nil {
		out.fail = p
		out.result = hold.Unanalysed(t.path, p.Error())
		return out
	}
	out.run, out.result = run, run.analysis.Result
	return out
}
