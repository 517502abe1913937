"""Rows of the benchmark's table, and runs that take turns."""

import time
from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np


class Row(NamedTuple):
    what: str
    measured: str
    wanted: str = ""


def markdown(rows: list[Row]) -> str:
    head = ["| what | measured | wanted |", "|---|---|---|"]
    return "\n".join([*head, *(f"| {row.what} | {row.measured} | {row.wanted} |" for row in rows)])


def clocked(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def in_turns(works: Mapping[str, Callable[[], Callable[[], object]]], rounds: int) -> dict[str, np.ndarray]:
    """Seconds (rounds,) of each; every round calls each maker (not timed) and then what it made (timed). One round to warm up."""
    seconds: dict[str, list[float]] = {name: [] for name in works}
    for lap in range(rounds + 1):
        for name, make in works.items():
            took = clocked(make())
            if lap:
                seconds[name].append(took)
    return {name: np.array(values) for name, values in seconds.items()}


def ratio_of(slow: np.ndarray, quick: np.ndarray) -> float:
    """Middle of the ratios of neighbouring runs."""
    return float(np.median(slow / quick))
