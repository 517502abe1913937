"""Seconds that a check takes with its head tables cached: on one core, the quickest of some rounds."""

from pathlib import Path

from threadpoolctl import threadpool_limits

from benchmarks.heads import least
from benchmarks.tables import Row
from wirebloom.analysis.check import check
from wirebloom.analysis.explorer import explore
from wirebloom.analysis.held import held
from wirebloom.analysis.margins import margins
from wirebloom.analysis.saturated import saturated
from wirebloom.analysis.sheet import static_sheet
from wirebloom.analysis.signs import signs
from wirebloom.analysis.small import small_signal
from wirebloom.compile import compile_rig
from wirebloom.rig import load, loads

STRINGS = 8


def check_rows() -> list[Row]:
    with threadpool_limits(1):
        one, eight = compile_rig(*load("first_note")), compile_rig(*loads(wall(STRINGS), file="wall.toml"))
        at_rest, small = held(one), small_signal(one)
        parts = {
            "rest and what can be heard": lambda: static_sheet(one, at_rest),
            "sign table": lambda: signs(one, at_rest),
            "small motions": lambda: small_signal(one),
            "widest gaps, squealing": lambda: margins(one, small, at_rest.linear),
            "where it settles": lambda: saturated(one),
        }
        return [
            Row("check of one string, head tables cached", f"{least(lambda: check(one)):.2f} s", "≤ 0.3 s"),
            *(Row(f"— {name}", f"{least(part):.3f} s") for name, part in parts.items()),
            Row(f"check of {STRINGS} strings, each with its loop", f"{least(lambda: check(eight), 1):.2f} s", "≤ 2 s"),
            Row("map of the leading partial, 361 rigs", f"{least(lambda: explore(one), 1):.1f} s", "a few seconds"),
        ]


def wall(count: int) -> str:
    """A wall of strings, each with two measured heads and a loop of its own."""
    parts = ['format = 1\ntitle = "Wall"\n']
    for k in range(count):
        parts.append(STRING.format(name=f"s{k}", pitch=110.0 * 2.0 ** (k / 12.0)))
    return "".join(parts)


STRING = Path(__file__).with_name("wall_string.txt").read_text(encoding="utf-8")
