package airflow

import (
	"os"
	"testing"

	"staydown/internal/testrun"
)

func TestMain(m *testing.M) { os.Exit(testrun.Main(m)) }
