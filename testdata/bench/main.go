// Command bench runs the benchmarks that BENCHMARKS.md quotes and writes that
// file anew. Run it from the top folder: go run ./testdata/bench
//
// All figures of a table come from one run on one machine; quote the ratios.
package main

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

const rounds = 3 // of each benchmark; the median is quoted

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run() error {
	times, err := measure("Framework", "./assemble")
	if err != nil {
		return err
	}
	var out bytes.Buffer
	fmt.Fprintf(&out, "# Benchmarks\n\nRenewed by `make bench` on %s, %d cores, %s. Machines differ and are noisy: read the ratios,\nwhich compare runs side by side, not the seconds. Median of %d.\n",
		runtime.GOOS+"/"+runtime.GOARCH, runtime.NumCPU(), runtime.Version(), rounds)
	peers(&out, times)
	steps(&out, times)
	cores(&out, times)
	if err := pocket(&out); err != nil {
		return err
	}
	if err := whole(&out); err != nil {
		return err
	}
	if err := interactive(&out); err != nil {
		return err
	}
	return os.WriteFile("BENCHMARKS.md", out.Bytes(), 0o644)
}

// measure runs a package's benchmarks that match the pattern and returns the
// median seconds of each.
func measure(pattern, folder string) (map[string]float64, error) {
	cmd := exec.Command("go", "test", "-run", "^$", "-bench", pattern, "-benchtime", "1x",
		"-count", strconv.Itoa(rounds), "-timeout", "60m", folder)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("%w\n%s", err, out)
	}
	line := regexp.MustCompile(`^Benchmark(\S+?)(?:-\d+)?\s+\d+\s+([\d.]+) ns/op`)
	all := map[string][]float64{}
	for _, l := range strings.Split(string(out), "\n") {
		if m := line.FindStringSubmatch(l); m != nil {
			ns, err := strconv.ParseFloat(m[2], 64)
			if err != nil {
				return nil, err
			}
			all[m[1]] = append(all[m[1]], ns/1e9)
		}
	}
	medians := map[string]float64{}
	for name, values := range all {
		medians[name] = median(values)
	}
	return medians, nil
}

func median[T cmp.Ordered](values []T) T {
	slices.Sort(values)
	return values[len(values)/2]
}

func peers(out *bytes.Buffer, times map[string]float64) {
	ours, simple := times["Framework/contour"], times["Framework/contour_and_simplify"]
	search, dual := times["Framework/peer_marching_cubes,_search"], times["Framework/peer_dual_contouring"]
	fmt.Fprintf(out, "\n## The demo's framework at 0.2 mm beside a general-purpose library\n\n"+
		"The peer is `unixpickle/model3d` on the same solid (the same field, asked one point at a time).\n\n"+
		"| method | seconds | times the contour alone | times contour and simplification |\n|---|---|---|---|\n"+
		"| contour | %.2f | 1 | |\n| contour and simplification to 0.01 mm | %.2f | %.1f | 1 |\n"+
		"| peer, marching cubes with search | %.1f | %.1f | %.1f |\n| peer, dual contouring | %.1f | %.1f | %.1f |\n",
		ours, simple, simple/ours, search, search/ours, search/simple, dual, dual/ours, dual/simple)
}

func steps(out *bytes.Buffer, times map[string]float64) {
	fmt.Fprint(out, "\n## Time against the sampling step\n\n| step, mm | seconds | growth exponent from the step before "+
		"|\n|---|---|---|\n")
	before := 0.0
	for _, step := range []string{"0.4", "0.2", "0.1", "0.05"} {
		t := times["Framework/step_"+step]
		exponent := "-"
		if before > 0 {
			exponent = fmt.Sprintf("%.2f", math.Log2(t/before))
		}
		fmt.Fprintf(out, "| %s | %.2f | %s |\n", step, t, exponent)
		before = t
	}
	first, last := times["Framework/step_0.4"], times["Framework/step_0.05"]
	fmt.Fprintf(out, "\nOver the whole range the exponent is %.2f.\n", math.Log2(last/first)/3)
}

func cores(out *bytes.Buffer, times map[string]float64) {
	one, two := times["Framework/cores_1"], times["Framework/cores_2"]
	fmt.Fprintf(out, "\n## Two cores beside one\n\nContour at 0.1 mm: %.2f s on one core, %.2f s on two: %.2f times as "+
		"fast.\n", one, two, one/two)
}

// whole times commands as processes: all files and pictures.
func whole(out *bytes.Buffer) error {
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	binary := filepath.Join(dir, "earframe")
	if text, err := exec.Command("go", "build", "-o", binary, "./cmd/earframe").CombinedOutput(); err != nil {
		return fmt.Errorf("%w\n%s", err, text)
	}
	demo := filepath.Join(dir, "demo")
	seconds, peak, err := process(rounds+2, binary, "demo", demo)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n## The whole demo\n\n`earframe demo`, all files and pictures: %.1f s, %d MB at the peak.\n", seconds, peak)
	seconds, peak, err = process(rounds, binary, "practice", filepath.Join(demo, "case", "case.yaml"), "--out", filepath.Join(dir, "practice"))
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n## The whole practice set\n\n`earframe practice` of the demo, all files, pictures and sheets: %.1f s, %d MB at the peak.\n", seconds, peak)
	return nesting(out)
}

// process runs a command several times and returns the median of its seconds and
// of its peak memory in MB.
func process(times int, name string, arguments ...string) (float64, int64, error) {
	var seconds []float64
	var peak []int64
	for range times {
		cmd := exec.Command(name, arguments...)
		start := time.Now()
		if text, err := cmd.CombinedOutput(); err != nil {
			return 0, 0, fmt.Errorf("%s: %w\n%s", arguments[0], err, text)
		}
		seconds = append(seconds, time.Since(start).Seconds())
		peak = append(peak, cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss)
	}
	return median(seconds), median(peak) / 1024, nil
}
