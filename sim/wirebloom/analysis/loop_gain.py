"""What a loop opened in the leads of its sense coils gives back: its return ratio at a frequency.

The opened leads get a test voltage from outside in place of the EMF that strings and other coils cause. With currents
i = (L + M)⁻¹ λ, M the strings' motional inductance, the EMF that comes back is −s D λ, D λ = λ_o − L_oo i_o of the sense coil o. So the
loop's gain is Λ = −s D (s E₀ − A′)⁻¹ at o, E₀ that of the opened loop. The rig as it stands has its roots where Λ is 1.

Near the pitch of one partial that is Λ = r/(s − s₀) and what the rest of the rig gives back. The partial's own share of it at resonance,
r/σ₀, tells what the loop does to it: to first order its growth is −σ₀ + r, and it grows where the own gain's real part exceeds 1.

References
----------
Bode 1945, "Network Analysis and Feedback Amplifier Design", ch. 4: return ratio (from memory).
"""

from __future__ import annotations

import numpy as np

from wirebloom.analysis.motional import Bench, Complex, cut, heard, motional, slopes
from wirebloom.kernels.layout import Floats


def loop_gain(bench: Bench, frequency: Floats, loop: int) -> Complex:
    """Gain of one loop of a bench, opened, at frequencies (F,), Hz; all other loops as they are.

    Parameters
    ----------
    bench : Bench
    frequency : (F,) ndarray
    loop : int

    Returns
    -------
    (F,) ndarray of complex
        0 for a loop that is not on this bench.
    """
    if bench.own[loop].size == 0:
        return np.zeros(len(frequency), dtype=complex)
    s = 2j * np.pi * np.asarray(frequency, dtype=float)
    own, flux, n, at = int(bench.own[loop][0]), bench.flux, bench.matrix.shape[0], s[:, None, None]
    reach = np.eye(n)[flux]  # (c, n)
    current = np.linalg.inv(bench.inductance + motional(bench, s)[0]) @ reach  # (K, c, n)
    matrix = bench.matrix - bench.matrix[:, flux] @ reach + bench.matrix[:, flux] @ bench.inductance @ current
    back = reach[own] - bench.inductance[own, own] * current[:, own]  # (K, n)
    opened = at * np.eye(n) - at * reach[own][:, None] * back[:, None, :] - matrix
    answer = np.linalg.solve(opened, np.broadcast_to(reach[own][:, None], (s.size, n, 1)))[:, :, 0]
    return np.asarray(-s * (back * answer).sum(axis=1))


def own_gains(bench: Bench, opened: Complex, turn: Complex) -> Complex:
    """Own gain of every mode at its resonance in every loop, (A, M), from the roots (M,) with all loops open.

    r is how the root moves as that loop alone is closed, ds/dg at g = 0; turn (M,): as all are.
    """
    gains = np.zeros((len(bench.own), opened.size), dtype=complex)
    loops = np.array([a for a, own in enumerate(bench.own) if own.size], dtype=np.int64)
    if loops.size == 1:
        gains[loops[0]] = -turn / opened.real
        return gains
    setting = heard(bench, np.zeros(1), loops)
    for a in loops:
        change, mark = cut(bench, np.array([a]))
        own = slopes(bench, opened, setting._replace(de=change[None], dfactor=mark[None]))
        gains[a] = own.by_knob / own.by_s / opened.real
    return gains
