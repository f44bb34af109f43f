package main

import (
	"bytes"
	"context"
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

// Bounds of what is taken from a worker.
const (
	maxAnswerBytes = 1 << 30
	maxStackBytes  = 256 << 10
	workerGrace    = 5 * time.Second // for the pipes of a killed worker
)

// breakdown is why a worker gave no answer.
type breakdown struct {
	reason string // the same for the same cause; no figures of this run
	stack  []byte // what the worker wrote on standard error, for a panic
	// swollen tells that the worker took more memory than it was given.
	swollen bool
}

// ownProgram is the path by which this program starts itself as a worker. On Linux it stays the same build even when
// the file is replaced while the run goes on.
func ownProgram() (string, error) {
	if runtime.GOOS == "linux" {
		if _, err := os.Stat("/proc/self/exe"); err == nil {
			return "/proc/self/exe", nil
		}
	}
	return os.Executable()
}

// consult has one program analysed by a worker. Exactly one of the results is set, none when ctx is done.
func consult(ctx context.Context, req request, limit time.Duration) (*answer, *breakdown) {
	exe, err := ownProgram()
	if err != nil {
		return nil, &breakdown{reason: "this program could not find itself to start the analysis"}
	}
	order, err := json.Marshal(req)
	if err != nil {
		return nil, &breakdown{reason: "the analysis could not be asked for"}
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
	apart(cmd)
	out, stack := &bounded{limit: maxAnswerBytes}, &bounded{limit: maxStackBytes}
	cmd.Stdout, cmd.Stderr = out, stack
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, &breakdown{reason: "the analysis could not be started"}
	}
	if err = cmd.Start(); err == nil {
		_, _ = in.Write(append(order, '\n')) // a worker that is gone already shows in Wait
		err = cmd.Wait()
	}
	switch { // ctx or limit first: Start fails too when one of them is over before it
	case ctx.Err() != nil:
		return nil, nil
	case errors.Is(timed.Err(), context.DeadlineExceeded):
		return nil, &breakdown{reason: fmt.Sprintf("the analysis took longer than %v and was given up; allow more "+
			"time with --limit, or a coarser --cell", limit)}
	case cmd.Process == nil:
		return nil, &breakdown{reason: "the analysis could not be started"}
	case err != nil:
		return nil, diagnose(err, stack.Bytes(), req.MemoryBytes)
	}
	a, err := store.Unpack[answer](out.Bytes())
	if err != nil {
		return nil, &breakdown{reason: "the answer of the analysis could not be read"}
	}
	return a, nil
}

var panicLine = regexp.MustCompile(`(?m)^(?:panic|fatal error): (.*)$`)

// diagnose puts the end of a worker into words.
func diagnose(err error, stderr []byte, memory int64) *breakdown {
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		if exit.ExitCode() == workerSwollen {
			return &breakdown{reason: fmt.Sprintf("the analysis took more than the %d MiB allowed; allow more with "+
				"--memory, or a coarser --cell", memory>>20), swollen: true}
		}
		if m := panicLine.FindSubmatch(stderr); m != nil {
			return &breakdown{reason: fmt.Sprintf("the analysis broke off (%s)", bytes.TrimSpace(m[1])), stack: stderr}
		}
		if exit.ExitCode() < 0 {
			return &breakdown{reason: "the analysis was killed from outside, perhaps for want of memory; run again " +
				"with a smaller --jobs or --memory"}
		}
	}
	return &breakdown{reason: "the analysis broke off", stack: stderr}
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

// ReadFrom keeps io.Copy from going past Write.
func (b *bounded) ReadFrom(r io.Reader) (int64, error) {
	return io.Copy(struct{ io.Writer }{b}, r)
}
