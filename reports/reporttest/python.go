package reporttest

import (
	"os"
	"os/exec"
	"testing"
)

// Python runs a script with the system's Python, a second reader.
func Python(t testing.TB, module, script string, args ...string) string {
	t.Helper()
	bin := "/usr/bin/python3"
	if err := exec.Command(bin, "-c", "import "+module).Run(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("python3 with %s is not installed, but CI asks for every check", module)
		}
		t.Skip("python3 with " + module + " is not installed")
	}
	out, err := exec.Command(bin, append([]string{"-c", script}, args...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("python: %v\n%s", err, out)
	}
	return string(out)
}
