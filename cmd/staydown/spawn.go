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
	exe, err := ownProgram()
	if err != nil {
		return nil, &failure{reason: "staydown cannot find its own program file to start the analysis"}
	}
	order, err := json.Marshal(req)
	if err != nil {
		return nil, &failure{reason: "the request for the analysis could not be written"}
	}
	timed, cancel := context.WithTimeout(ctx, limit)
	if limit <= 0 {
		timed, cancel = context.WithCancel(ctx)
	}
	defer cancel()
	cmd := exec.CommandContext(timed, exe, workerVerb)
	cmd.Args[0] = os.Args[0]
	cmd.Env = append(os.Environ(), "GOMAXPROCS="+strconv.Itoa(max(1, req.Jobs)), "GOTRACEBACK=all")
	cmd.WaitDelay = workerGrace
	newProcessGroup(cmd)
	out, stack := &inbox{unread: bounded{limit: maxAnswerBytes}, show: req.show}, &bounded{limit: maxStackBytes}
	cmd.Stdout, cmd.Stderr = out, stack
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, &failure{reason: "the analysis could not be started"}
	}
	if err = cmd.Start(); err == nil {
		_, _ = in.Write(append(order, '\n')) // if the worker is already gone, Wait reports it
		err = cmd.Wait()
	}
	switch { // ctx and limit first: Start fails as well if one of them has passed
	case ctx.Err() != nil:
		return nil, nil
	case errors.Is(timed.Err(), context.DeadlineExceeded):
		return nil, &failure{reason: fmt.Sprintf("the analysis took longer than %v and was stopped; allow more "+
			"time with --limit, or use a coarser --cell", limit)}
	case cmd.Process == nil:
		return nil, &failure{reason: "the analysis could not be started"}
	case err != nil:
		return nil, diagnose(err, stack.Bytes(), req.MemoryBytes)
	}
	if out.answer == nil {
		return nil, &failure{reason: "the answer of the analysis could not be read"}
	}
	return out.answer, nil
}

// inbox takes what a worker writes on standard output: it shows drafts as they come and keeps the answer.
type inbox struct {
	unread bounded
	show   func(*answer) // nil: drafts are dropped
	answer *answer       // nil until it is there whole
}

func (b *inbox) Write(p []byte) (int, error) {
	n, err := b.unread.Write(p)
	for err == nil && b.answer == nil {
		length, head := binary.Uvarint(b.unread.Bytes())
		if head <= 0 || length > uint64(b.unread.Len()-head) {
			break
		}
		a, damaged := store.Unpack[answer](b.unread.Next(head + int(length))[head:])
		switch {
		case damaged != nil: // no answer, which is told once the worker has ended
			return n, nil
		case !a.Draft:
			b.answer = a
		case b.show != nil:
			b.show(a)
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
