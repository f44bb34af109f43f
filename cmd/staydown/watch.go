package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"

	"staydown/report"
	"staydown/report/words"
)

// settleTime is how long nothing must be saved before the next run: editors and posts write a file in several steps
// (common practice, no source).
const settleTime = 150 * time.Millisecond

// clearScreen is the sequence that empties a terminal and goes to its first line (ECMA-48, 8.3.21 and 8.3.39).
const clearScreen = "\x1b[H\x1b[2J"

// watch checks the programs again whenever one of them, a job file or a subprogram is saved, until an interrupt. It
// returns the status of the last run.
func (o *checkOptions) watch(paths []string, baseline *report.Baseline, s streams) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	saved, err := fsnotify.NewWatcher()
	if err != nil {
		complain(s.err, fmt.Errorf("--watch is told of no saved files here (%w); run check again by hand", err))
		return exitUsage
	}
	defer saved.Close()
	stays := &worker{}
	defer stays.stop()
	endings := []string{".toml"}
	for changed := ""; ; {
		// Folders are watched before they are read, so that nothing saved meanwhile is missed.
		all := findTargets(paths, o.out, extensionsOf(o.settings))
		endings = append(endings, programEndings(all)...)
		for _, dir := range watchedFolders(all, o.settings.setup) {
			if err := saved.Add(dir); err != nil {
				complain(s.err, about(dir, "cannot be watched: %s", reason(dir, err)))
			}
		}
		if colourful(s.out) {
			io.WriteString(s.out, clearScreen)
		}
		if changed != "" {
			fmt.Fprintf(s.out, "%s: saved\n", words.Visible(filepath.ToSlash(changed)))
		}
		status := o.once(paths, baseline, s, stays)
		if ctx.Err() != nil {
			return status
		}
		if len(saved.WatchList()) == 0 {
			return status // none of the paths is there
		}
		_, err := fmt.Fprintf(s.out, "%s: waiting for a saved program or job file; Ctrl-C ends\n",
			time.Now().Format("15:04:05"))
		if err != nil {
			return broken(s, err)
		}
		if changed, err = nextSaved(ctx, saved, endings); err != nil {
			complain(s.err, err)
			return exitUsage
		}
		if ctx.Err() != nil {
			return status
		}
	}
}

// watchedFolders lists the folders of programs and of their job files, and those in which one could appear.
func watchedFolders(all found, setup string) []string {
	dirs := slices.Clone(all.folders)
	for _, t := range all.targets {
		dirs = append(dirs, filepath.Dir(filepath.FromSlash(t.path)))
		jobs, _ := findJobFiles(filepath.FromSlash(t.path), setup)
		for _, path := range jobs {
			dirs = append(dirs, filepath.Dir(path))
		}
	}
	for i := range dirs {
		dirs[i] = filepath.Clean(filepath.FromSlash(dirs[i]))
	}
	slices.Sort(dirs)
	return slices.Compact(dirs)
}

// programEndings lists the endings of the programs, which subprograms share.
func programEndings(all found) []string {
	var out []string
	for _, t := range all.targets {
		out = append(out, strings.ToLower(filepath.Ext(t.path)))
	}
	return out
}

// nextSaved waits until a file with one of the endings is saved, made or removed and then no other for settleTime, and
// gives the last one. It ends early with ctx.
func nextSaved(ctx context.Context, saved *fsnotify.Watcher, endings []string) (path string, err error) {
	var settled <-chan time.Time
	for {
		select {
		case <-ctx.Done():
			return "", nil
		case <-settled:
			return path, nil
		case err, ok := <-saved.Errors:
			if !ok {
				err = errors.New("files are watched no more")
			}
			return "", fmt.Errorf("watching for saved files failed (%w); run check again by hand", err)
		case e := <-saved.Events:
			if e.Has(fsnotify.Chmod) && e.Op == fsnotify.Chmod || strings.Contains(e.Name, suffixAnnotated+".") ||
				!slices.Contains(endings, strings.ToLower(filepath.Ext(e.Name))) {
				continue
			}
			path, settled = e.Name, time.After(settleTime)
		}
	}
}
