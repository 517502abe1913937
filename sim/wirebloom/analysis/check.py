"""Everything about a rig that needs no run, from one compiled description of it: rest, signs, small motions, margins, where it settles."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.benches import laid_out
from wirebloom.analysis.held import held
from wirebloom.analysis.margins import margins
from wirebloom.analysis.prescribe import advise
from wirebloom.analysis.saturated import saturated
from wirebloom.analysis.sheet import static_sheet
from wirebloom.analysis.signs import signs
from wirebloom.analysis.small import small_signal
from wirebloom.kernels.layout import Floats
from wirebloom.physics.bspline import evaluate
from wirebloom.take.check import Check
from wirebloom.take.check_curves import ForceCurve
from wirebloom.take.check_saturated import Saturated

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled
    from wirebloom.compile.poles import Pole

CURVE_GAPS = np.geomspace(0.05e-3, 6e-3, 120)  # m, from the least gap that a scenario may have


def check(compiled: Compiled, *, advice: bool = False) -> Check:
    """Look at a compiled rig from all sides.

    Parameters
    ----------
    compiled : Compiled
    advice : bool
        Whether to look for what to change: seconds instead of a blink.

    Returns
    -------
    Check

    Examples
    --------
    >>> from wirebloom.compile import compile_rig
    >>> from wirebloom.rig import load
    >>> check(compile_rig(*load("first_note"))).verdict
    'starts'
    """
    at_rest = held(compiled)
    small = small_signal(compiled, laid_out(compiled, at_rest.linear))
    settled = saturated(compiled)
    return Check(
        title=compiled.rig.title,
        digest=compiled.sheet.digest,
        sheet=static_sheet(compiled, at_rest),
        signs=signs(compiled, at_rest),
        small=small,
        margins=margins(compiled, small, at_rest.linear),
        saturated=settled,
        advice=advise(compiled) if advice else None,
        curves=force_curves(compiled, settled),
        limits=compiled.sheet.limits,
        cautions=compiled.sheet.cautions,
    )


def force_curves(compiled: Compiled, settled: Saturated) -> tuple[ForceCurve, ...]:
    """Force factor over the gap of every head under every string, and the range of each motion that is settled at."""
    found = []
    for pole, sheet in zip(compiled.poles, compiled.sheet.poles, strict=True):
        factor = factor_over(pole, CURVE_GAPS)
        likely = settled.likely(sheet.string)
        reaches = {} if likely is None else {own.head: (own.least_gap_m, own.greatest_gap_m) for own in likely.heads}
        found.append(
            ForceCurve(
                head=sheet.head,
                string=sheet.string,
                role=sheet.role,
                gap_m=CURVE_GAPS,
                factor_N_per_A=factor,
                low_N_per_A=factor * sheet.factor_low,
                high_N_per_A=factor * sheet.factor_high,
                rest_gap_m=sheet.rest_gap_m,
                reach_m=reaches.get(sheet.head),
            )
        )
    return tuple(found)


def factor_over(pole: Pole, gap: Floats) -> Floats:
    """Magnitude of a pole's force factor at gaps (G,), N/A."""
    table = pole.table
    axes = (table.gap_start, table.gap_step), (table.offset_start, table.offset_step)
    slopes = evaluate(table.coefficient, axes, gap, np.full(gap.size, pole.place.offset), dx=1)
    return np.asarray(np.abs(slopes[:, 1]))
