"""Whole takes by the command line, as a maker feels them: wall clock, cold and warm, and memory."""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.tables import Row

SCENARIO = "first_note"


def take_rows() -> list[Row]:
    with tempfile.TemporaryDirectory(prefix="wirebloom-benchmark-") as folder:
        place = Path(folder)
        cold = wirebloom(place, "run", SCENARIO, "--out", place / "cold", "--duration", "0.05 s", "--no-figures")
        warm = wirebloom(place, "run", SCENARIO, "--out", place / "warm", "--duration", "0.05 s", "--no-figures")
        four = wirebloom(place, "run", SCENARIO, "--out", place / "four", "--duration", "4 s", "--no-figures", "--json")
        drawn = wirebloom(place, "run", SCENARIO, "--out", place / "drawn", "--duration", "4 s")
        helped = min(wirebloom(place, "--help")[0] for _ in range(3))
        alone = wirebloom(place, "run", SCENARIO, "--out", place / "alone", "--duration", "4 s", "--no-figures", "--no-band", "--json")
        long, bare = (
            wirebloom(place, "run", SCENARIO, "--out", place / "long", "--duration", "60 s", "--no-figures", *more)
            for more in ((), ("--no-band",))
        )
    return [
        Row("`--help`, whole process", f"{helped:.2f} s (the bare interpreter {interpreter():.2f} s)", "≤ 0.1 s more"),
        Row("first run ever: head tables and machine code", said(cold), "≤ 10 s a head"),
        Row("the same from a warm cache", said(warm)),
        Row("4-second take: kernel, HDF5, WAV, verdict (warm)", said(four), "≤ 1 s"),
        Row("the same without both ends of its band", said(alone), "≤ 1 s"),
        Row("its kernel alone", kernel_of(alone)),
        Row("its figures on top", f"{drawn[0] - four[0]:.2f} s" if usable(four, drawn) else "not yet", "≤ 3 s"),
        Row("60-second take: peak memory", f"{long[2] / 1e6:.0f} MB ({long[0]:.1f} s)" if usable(long) else "not yet", "≤ 600 MB"),
        Row(
            "the same without both ends of its band", f"{bare[2] / 1e6:.0f} MB ({bare[0]:.1f} s)" if usable(bare) else "not yet", "≤ 600 MB"
        ),
    ]


def wirebloom(place: Path, *words: object) -> tuple[float, subprocess.CompletedProcess[str], float]:
    """Seconds, result and peak memory (bytes) of one command with its own, at first empty, cache."""
    environment = os.environ | {"WIREBLOOM_CACHE": str(place / "cache")}
    command = [sys.executable, "-m", "benchmarks.watched", *map(str, words)]
    here = Path(__file__).resolve().parents[1]
    start = time.perf_counter()
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False, cwd=here)
    seconds = time.perf_counter() - start
    return seconds, done, peak_of(done)


def peak_of(done: subprocess.CompletedProcess[str]) -> float:
    last = done.stderr.rstrip().rpartition("\n")[2]
    return float(last.split()[1]) * 1024 if last.startswith("peak_kB ") else float("nan")


def usable(*runs: tuple[float, subprocess.CompletedProcess[str], float]) -> bool:
    return all(run[1].returncode == 0 for run in runs)


def said(run: tuple[float, subprocess.CompletedProcess[str], float]) -> str:
    return f"{run[0]:.2f} s" if usable(run) else "not yet"


def kernel_of(run: tuple[float, subprocess.CompletedProcess[str], float]) -> str:
    return f"{json.loads(run[1].stdout)['realtime_factor']:.1f} × real time" if usable(run) else "not yet"


def interpreter() -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", "pass"], check=True)
    return time.perf_counter() - start
