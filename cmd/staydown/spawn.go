package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"strconv"
	"sync"
	"time"

	"staydown/cmd/staydown/store"
)

// Limits on a worker's output.
const (
	maxAnswerBytes = 1 << 30
	maxStackBytes  = 256 << 10
	workerGrace    = 5 * time.Second // to drain the pipes of a killed worker
)

// failure is why a worker returned no answer.
type failure struct {
	reason string // the same for the same cause: no figures of this run
	stack  []byte // what the worker wrote on standard error, for a panic
	// overMemory: the worker exceeded its memory limit.
	overMemory bool
}

// ownProgram is the path from which this program starts itself as a worker. On Linux that stays the same build even if
// the file is replaced during the run.
func ownProgram() (string, error) {
	if runtime.GOOS == "linux" {
		if _, err := os.Stat("/proc/self/exe"); err == nil {
			return "/proc/self/exe", nil
		}
	}
	return os.Executable()
}

// runWorker has one program analysed by a worker. Exactly one of the results is set; neither is when ctx is done.
func runWorker(ctx context.Context, req request, limit time.Duration) (*answer, *failure) {
	w := &worker{}
	defer w.stop()
	return w.ask(ctx, req, limit)
}

// worker is a process that analyses programs, one after the other. The zero value starts one when it is asked, and
// another where that one is gone.
type worker struct {
	cmd    *exec.Cmd // nil: none runs
	in     io.WriteCloser
	out    *inbox
	stack  *bounded
	memory int64         // its limit
	ended  chan struct{} // closed when it is gone, with err
	err    error
}

// ask has one program analysed. Exactly one of the results is set; neither is when ctx is done. A worker that did not
// answer, or was not asked to stay, is gone then.
func (w *worker) ask(ctx context.Context, req request, limit time.Duration) (*answer, *failure) {
	order, err := json.Marshal(req)
	if err != nil {
		return nil, &failure{reason: "the request for the analysis could not be written"}
	}
	order = append(order, '\n')
	timed, cancel := context.WithTimeout(ctx, limit)
	if limit <= 0 {
		timed, cancel = context.WithCancel(ctx)
	}
	defer cancel()
	if w.cmd != nil && w.memory != req.MemoryBytes {
		w.stop()
	}
	served := w.cmd != nil
	a, broke := w.answer(timed, order, req)
	if served && broke != nil && timed.Err() == nil {
		a, broke = w.answer(timed, order, req) // what it kept may have been too much
	}
	switch { // ctx and limit first: a worker that ends because of them has no reason of its own
	case ctx.Err() != nil:
		return nil, nil
	case errors.Is(timed.Err(), context.DeadlineExceeded):
		return nil, &failure{reason: fmt.Sprintf("the analysis took longer than %v and was stopped; allow more "+
			"time with --limit, or use a coarser --cell", limit)}
	}
	return a, broke
}

// answer has the process, which is started where none runs, do what a request says. It ends with ctx.
func (w *worker) answer(ctx context.Context, order []byte, req request) (a *answer, broke *failure) {
	if ctx.Err() != nil {
		return nil, nil
	}
	if w.cmd == nil {
		if broke = w.start(req); broke != nil {
			return nil, broke
		}
	}
	came := w.out.expect(req.show)
	_, _ = w.in.Write(order) // if the process is already gone, its end reports it
	select {
	case a = <-came:
		if req.Stay {
			return a, nil
		}
	case <-w.ended:
	case <-ctx.Done():
		w.stop()
		return nil, nil
	}
	<-w.ended
	w.cmd = nil
	if w.err != nil {
		return nil, diagnose(w.err, w.stack.Bytes(), req.MemoryBytes)
	}
	if a == nil {
		select {
		case a = <-came: // it ended at once
		default:
			return nil, &failure{reason: "the answer of the analysis could not be read"}
		}
	}
	return a, nil
}

// start starts the process.
func (w *worker) start(req request) *failure {
	exe, err := ownProgram()
	if err != nil {
		return &failure{reason: "staydown cannot find its own program file to start the analysis"}
	}
	cmd := exec.Command(exe, workerVerb)
	cmd.Args[0] = os.Args[0]
	cmd.Env = append(os.Environ(), "GOMAXPROCS="+strconv.Itoa(max(1, req.Jobs)), "GOTRACEBACK=all")
	cmd.WaitDelay = workerGrace
	newProcessGroup(cmd)
	w.out, w.stack = &inbox{unread: bounded{limit: maxAnswerBytes}}, &bounded{limit: maxStackBytes}
	cmd.Stdout, cmd.Stderr = w.out, w.stack
	if w.in, err = cmd.StdinPipe(); err == nil {
		err = cmd.Start()
	}
	if err != nil {
		return &failure{reason: "the analysis could not be started"}
	}
	w.cmd, w.memory, w.ended = cmd, req.MemoryBytes, make(chan struct{})
	go func() {
		w.err = cmd.Wait()
		close(w.ended)
	}()
	return nil
}

// stop ends the process, if one runs, and waits until it is gone.
func (w *worker) stop() {
	if w.cmd == nil {
		return
	}
	_ = w.cmd.Process.Kill() // it may have ended by itself
	<-w.ended
	w.cmd = nil
}

// inbox takes what a worker writes on standard output: it shows drafts as they come, and passes on the answer.
type inbox struct {
	unread bounded
	mu     sync.Mutex
	show   func(*answer) // nil: drafts are dropped
	came   chan *answer
}

// expect gives where the next answer comes, after its drafts, which show is given.
func (b *inbox) expect(show func(*answer)) <-chan *answer {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.show, b.came = show, make(chan *answer, 1)
	return b.came
}

func (b *inbox) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	n, err := b.unread.Write(p)
	for err == nil {
		length, head := binary.Uvarint(b.unread.Bytes())
		if head <= 0 || length > uint64(b.unread.Len()-head) {
			break
		}
		a, damaged := store.Unpack[answer](b.unread.Next(head + int(length))[head:])
		switch {
		case damaged != nil: // no answer, which is told once the worker has ended
			return n, nil
		case a.Draft && b.show != nil:
			b.show(a)
		case !a.Draft:
			select {
			case b.came <- a:
			default: // nobody asked for a second one
			}
		}
	}
	return n, err
}

var panicLine = regexp.MustCompile(`(?m)^(?:panic|fatal error): (.*)$`)

// diagnose says why a worker ended.
func diagnose(err error, stderr []byte, memory int64) *failure {
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		if exit.ExitCode() == workerOverMemory {
			return &failure{reason: fmt.Sprintf("the analysis needed more than the %d MiB allowed; allow more with "+
				"--memory, or use a coarser --cell", memory>>20), overMemory: true}
		}
		if m := panicLine.FindSubmatch(stderr); m != nil {
			return &failure{reason: fmt.Sprintf("the analysis crashed (%s)", bytes.TrimSpace(m[1])), stack: stderr}
		}
		if exit.ExitCode() < 0 {
			return &failure{reason: "the analysis was killed from outside, perhaps for lack of memory; run again " +
				"with a smaller --jobs or --memory"}
		}
	}
	return &failure{reason: "the analysis crashed", stack: stderr}
}

// bounded keeps the first limit bytes that are written to it.
type bounded struct {
	bytes.Buffer
	limit int
}

func (b *bounded) Write(p []byte) (int, error) {
	if b.Len()+len(p) > b.limit {
		if room := b.limit - b.Len(); room > 0 {
			b.Buffer.Write(p[:room])
		}
		return len(p), nil
	}
	return b.Buffer.Write(p)
}

// ReadFrom makes io.Copy use Write, and with it the limit.
func (b *bounded) ReadFrom(r io.Reader) (int64, error) {
	return io.Copy(struct{ io.Writer }{b}, r)
}
