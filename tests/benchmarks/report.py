"""Seconds and bytes of the page on every scenario that comes with the package; a second page of the same process: warm."""

import time

from benchmarks.tables import Row
from wirebloom.rig.shipped import shipped_scenarios
from wirebloom.views.report import report
from wirebloom.workbench.making import run


def report_rows() -> list[Row]:
    report({"warming up": run("first_note", duration="0.5 s", band=False)})
    found = {name: _page(name) for name in sorted(shipped_scenarios())}
    slowest, largest = (max(found, key=lambda name: found[name][place]) for place in (0, 1))
    return [
        Row("report of `first_note`, warm", f"{found['first_note'][0]:.2f} s, {found['first_note'][1] / 1e6:.1f} MB", "≤ 4 s, ≤ 8 MB"),
        Row("slowest of all scenarios", f"{found[slowest][0]:.2f} s (`{slowest}`)", "≤ 4 s"),
        Row("largest of all scenarios", f"{found[largest][1] / 1e6:.1f} MB (`{largest}`)", "≤ 8 MB"),
    ]


def _page(name: str) -> tuple[float, int]:
    """Seconds and bytes."""
    take = run(name)
    start = time.perf_counter()
    text = report({name: take})
    return time.perf_counter() - start, len(text.encode("utf-8"))
