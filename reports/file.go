package reports

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"bookmatch/jobs"

	"github.com/google/renameio/v2"
)

// WriteFile lets write fill a file next to path and renames it into place, so
// that path holds all of it or what it held before. A file that is there
// already is refused with jobs.ErrConflict unless force is set. The mode is
// 0600, since most reports name customers; a file that is replaced keeps its own.
func WriteFile(path string, force bool, write func(io.Writer) error) error {
	if info, err := os.Stat(path); err == nil {
		if info.IsDir() {
			return fmt.Errorf("%s is a folder: %w", path, jobs.ErrInvalid)
		}
		if !force {
			return jobs.Refuse("exists", path+" is there already")
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := renameio.NewPendingFile(path, renameio.WithTempDir(filepath.Dir(path)),
		renameio.WithPermissions(0o600), renameio.WithExistingPermissions())
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	defer f.Cleanup()
	if err := write(f); err != nil {
		return err
	}
	return f.CloseAtomicallyReplace()
}
