"""The sign table: φ_s φ_d of every loop and string, partial by partial.

A loop feeds a partial if the product of its shape at the sense and at the drive heads has the sign of the polarity, counted with force
factors and senses of winding: Σ K_s φ_s · Σ K_d φ_d. The electronics may turn the drive's current away from the sense coil's
voltage; beyond a quarter period they turn the signs over.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.held import Held, held, loop_rows, own_poles, reach
from wirebloom.analysis.sign_words import sign_words
from wirebloom.kernels.layout import Floats
from wirebloom.take.check_signs import ROLES, LoopSigns, SignHead, Signs

if TYPE_CHECKING:
    from wirebloom.analysis.held import Complex
    from wirebloom.compile.model import Compiled


def signs(compiled: Compiled, found: Held | None = None) -> Signs:
    """Sign table of a compiled rig.

    Parameters
    ----------
    compiled : Compiled
    found : Held, optional
        Its electronics with the strings held, where they are known already.

    Returns
    -------
    Signs
        One entry for every loop and every string that has a head of it.

    Examples
    --------
    >>> from wirebloom.compile import compile_rig
    >>> from wirebloom.rig import load
    >>> signs(compile_rig(*load("first_note"))).loops[0].normal[:3]
    (1, 2, 4)
    """
    own = held(compiled) if found is None else found
    pairs = ((a, s) for a in range(len(compiled.rig.loops)) for s in range(len(compiled.rig.strings)))
    loops = tuple(loop_signs(compiled, own, a, s) for a, s in pairs if _heads(compiled, own, a, s))
    return Signs(loops, sign_words(loops))


def loop_signs(compiled: Compiled, found: Held, a: int, s: int) -> LoopSigns:
    """Signs of loop number a and string number s, which has at least one of its heads."""
    per, answer, heads = reach(compiled, found, s), found.answers[s], _heads(compiled, found, a, s)
    listens, pushes = per[2 * a], per[2 * a + 1]
    most = np.prod([sum(abs(head.factor_N_per_A) for head in heads if head.role == role) for role in ROLES])
    return LoopSigns(
        loop=compiled.rig.loops[a].name,
        string=compiled.rig.strings[s].name,
        polarity=compiled.sheet.loops[a].polarity,
        length_m=compiled.modes[s].length,
        heads=heads,
        frequency_Hz=answer.hertz,
        listens=listens,
        pushes=pushes,
        share=listens * pushes / most if most > 0.0 else np.zeros_like(listens),
        turn_deg=turned(answer.flow[:, 2 * a + 1, 2 * a]),
        push_per_s=push(compiled, found, a, s),
    )


def turned(flow: Complex) -> Floats:
    """Phase of the drive's current per velocity, by Y_ds: deg, not a number where nothing flows."""
    return np.where(np.abs(flow) > 0.0, np.degrees(np.angle(-flow)), np.nan)


def push(compiled: Compiled, found: Held, a: int, s: int) -> Floats:
    """Growth rate that loop a gives to every partial of string s, its way from sense to drive heads alone: (2, N) 1/s.

    A force c q̇ on a mass m changes a partial's growth rate by c/2m; eddy currents in cores of both heads are in c.
    """
    per, flow = reach(compiled, found, s), found.answers[s].flow
    sense, drive = loop_rows(compiled.model, a)
    force = -np.einsum("dpn,nds,spn->pn", per[drive], flow[:, drive[:, None], sense], per[sense])
    return np.asarray(force.real / (2.0 * compiled.modes[s].mass), dtype=np.float64)


def _heads(compiled: Compiled, found: Held, a: int, s: int) -> tuple[SignHead, ...]:
    """The heads of loop a under string s, in the order of the rig."""
    poles, link = compiled.model.poles, found.linear.magnets.link
    rows = [j for j in own_poles(compiled.model, s) if poles.circuit[j] // 2 == a and j in compiled.parts.lead]
    return tuple(
        SignHead(
            head=compiled.parts.poles[j].head.name,
            role=ROLES[poles.circuit[j] % 2],
            position_m=compiled.parts.poles[j].place.position,
            factor_N_per_A=float(link[poles.circuit[j], 2 * j]),
            weight=compiled.parts.poles[j].weight,
        )
        for j in rows
    )
