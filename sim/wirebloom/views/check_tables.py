"""Tables of `check`: what the places and the loop do to each partial, and each partial of the string alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.amounts import figures

if TYPE_CHECKING:
    from rich.console import RenderableType

    from wirebloom.take.check import Check
    from wirebloom.take.check_sheet import StringStatic
    from wirebloom.take.check_signs import LoopSigns
    from wirebloom.take.check_small import PartialCheck

SHOWN = 12  # partials
FEW = 1  # strings with a table of their decay
MOST = 4  # strings with a table of their growth
ABSENT = "–"
GROWTH = ("", "Hz", "φs φd", "places", "growth", "opened", "reversed", "loop gain", "phase", "spare")
FAINT = 1e-2  # loop gain: less is a node
SHORT = {"viscoelastic": "internal", "thermoelastic": "heat flow"}
SIGNS = {1: "feed", -1: "damp", 0: "node"}


def check_tables(check: Check) -> Iterator[RenderableType]:
    """Yield a table of growth for each string with a loop, then one of the partials alone; of many strings of none but the first."""
    from rich.text import Text  # noqa: PLC0415 - a tenth of a second, only where text is wanted

    yield Text("")
    for name in [name for name in check.strings if check.signs_of(name)][:MOST]:
        yield Text(f"Partials of {name} with its loop: growth in 1/s, what the loop may lose in dB", style="bold")
        yield table(GROWTH, growth_cells(check, name))
    for string in check.sheet.strings if len(check.sheet.strings) <= FEW else ():
        yield Text(f"Partials of {string.name} without its loop: cent, time to fall by 60 dB, causes in %", style="bold")
        yield table(decay_head(string), decay_cells(string))


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> RenderableType:
    """Return a table with a row for each partial."""
    from rich import box  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    made = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    for name in head:
        made.add_column(Text(name), justify="right", overflow="fold")
    for row in rows:
        made.add_row(*(Text(cell, style="bold" if cell.startswith("+") else "") for cell in row))
    return made


def growth_cells(check: Check, string: str) -> list[list[str]]:
    """Return number, pitch, sign table, growth and loop gain of the first partials towards the heads."""
    signs = check.signs_of(string)[0]
    return [_growth(own, signs) for own in check.partials_of(string)[:SHOWN]]


def _growth(own: PartialCheck, signs: LoopSigns) -> list[str]:
    n, wired = own.partial - 1, 1 if signs.polarity == "normal" else -1
    deaf = own.loop_gain < FAINT
    return [
        str(own.partial),
        f"{own.frequency_Hz:.1f}",
        _signed(f"{signs.share[0, n]:.2f}"),
        SIGNS[int(signs.sign[n]) * wired],
        _rate(own.growth_rate_per_s),
        _rate(own.open_growth_per_s),
        _rate(own.reversed_growth_per_s),
        ABSENT if deaf else figures(own.loop_gain, 2),
        ABSENT if deaf else _signed(f"{own.loop_phase_deg:.0f}°"),
        ABSENT if own.share is None else _signed(f"{own.margin_dB:.0f}"),
    ]


def _signed(number: str) -> str:
    """Return a number with a true minus, and none before zero."""
    return number.removeprefix("-") if number.strip("-0.°") == "" else number.replace("-", "−")


def _rate(value: float) -> str:
    """Return a growth rate, 1/s, with its sign.

    Examples
    --------
    >>> _rate(8.4712), _rate(-0.04), _rate(-123.4)
    ('+8.47', '−0.04', '−123')
    """
    return f"{'+' if value > 0.0 else '−'}{figures(abs(value))}"


def decay_head(string: StringStatic) -> list[str]:
    """Return the names of the columns of a table of decay."""
    return ["", "Hz", "sharp", "magnets", "60 dB in", *(SHORT.get(cause.name, cause.name) for cause in string.causes)]


def decay_cells(string: StringStatic) -> list[list[str]]:
    """Return pitch, inharmonicity, magnets' shift and decay with its causes of the first partials towards the heads."""
    rows = []
    for n in range(min(SHOWN, string.frequency_Hz.shape[1])):
        whole = string.decay_per_s[0, n]
        shares = [f"{100.0 * cause.per_s[0, n] / whole:.0f}" if whole > 0.0 else ABSENT for cause in string.causes]
        shift = string.magnet_cent[0, n]
        moved = _signed(f"{shift:.2f}") if np.isfinite(shift) else ABSENT
        falls = f"{figures(string.t60_s[0, n])} s"
        rows.append([str(n + 1), f"{string.frequency_Hz[0, n]:.1f}", f"{string.sharp_cent[n]:.2f}", moved, falls, *shares])
    return rows
