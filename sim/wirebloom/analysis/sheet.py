"""The static sheet: strings at rest, heads under them, what loops can hear; and in words what cannot work at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.held import Held, held, reach
from wirebloom.analysis.sheet_heads import head_static, loop_static
from wirebloom.analysis.sheet_strings import string_static
from wirebloom.analysis.sheet_words import sheet_words
from wirebloom.take.check_sheet import Hearing, StaticSheet

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirebloom.compile.model import Compiled

NOTHING = 1e-12  # V s/m: rounding of a node


def static_sheet(compiled: Compiled, found: Held | None = None) -> StaticSheet:
    """Everything that is known of a rig before small motions are looked at.

    Parameters
    ----------
    compiled : Compiled
    found : Held, optional
        Its electronics with the strings held, where they are known already.

    Returns
    -------
    StaticSheet

    Examples
    --------
    >>> from wirebloom.compile import compile_rig
    >>> from wirebloom.rig import load
    >>> sheet = static_sheet(compile_rig(*load("first_note")))
    >>> f"{sheet.strings[0].tension_N:.0f} N, {100 * sheet.strings[0].load:.0f} % of what its wire bears at least"
    '56 N, 20 % of what its wire bears at least'
    """
    own = held(compiled) if found is None else found
    strings = tuple(string_static(compiled, own, s) for s in range(len(compiled.rig.strings)))
    heads = tuple(head_static(compiled, j) for j in range(len(compiled.poles)))
    loops = tuple(loop_static(compiled, own, a) for a in range(len(compiled.rig.loops)))
    growth = max(np.linalg.eigvals(own.linear.matrix), key=lambda value: value.real, default=-np.inf + 0j)
    return StaticSheet(
        strings=strings,
        heads=heads,
        loops=loops,
        hearing=tuple(hearings(compiled, own)),
        words=sheet_words(compiled, own, float(growth.real)),
        grows_per_s=float(growth.real),
        grows_Hz=abs(float(growth.imag)) / (2.0 * np.pi),
    )


def hearings(compiled: Compiled, found: Held) -> Iterator[Hearing]:
    """What every loop hears of every string over its sense heads.

    A partial of displacement q̂ at its belly gives an EMF of ω q̂ Σ K_s φ_s: the least is that which is as large as the noise.
    """
    for a, loop in enumerate(compiled.rig.loops):
        for s, string in enumerate(compiled.rig.strings):
            if any(pole.string == s and pole.head.name in loop.sense for pole in compiled.poles):
                yield _hearing(compiled, found, (a, loop.name), (s, string.name))


def _hearing(compiled: Compiled, found: Held, loop: tuple[int, str], string: tuple[int, str]) -> Hearing:
    (a, loop_name), (s, string_name) = loop, string
    answer, volts = found.answers[s], np.abs(reach(compiled, found, s)[2 * a, 0])
    passed, endless = np.abs(answer.heard[:, a]), np.full(answer.hertz.size, np.inf)
    noise = np.divide(answer.noise[:, a], passed, out=endless.copy(), where=passed > 0.0)
    least = np.divide(noise, 2.0 * np.pi * answer.hertz * volts, out=endless, where=volts > NOTHING)
    return Hearing(loop_name, string_name, answer.hertz, noise, least)
