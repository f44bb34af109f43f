//go:build unix && !linux

package main

import "errors"

func mountTmpfs(string, string) error { return errors.ErrUnsupported }
func remount(string, string) error    { return errors.ErrUnsupported }
func unmount(string) error            { return errors.ErrUnsupported }
