"""How long a partial takes from its start to the amplitude that it keeps.

While it is alone it grows as its own growth at every size says, (ln A)′ = growth(A): the start takes

    t = ∫ d ln A / growth(A)

from the size that the rig's start gives it to 90 % of the final one. A growth(A) is straight over A for a faint partial, and for one that
is driven at full swing: so it is read between the sizes that were looked at. Noise and thump are known to their order of size, and the
time goes with their logarithm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.begun import begun
from wirebloom.analysis.candidates import SAMPLES
from wirebloom.analysis.describing import Crossing, Growths, crossings, growths
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.saturated import PARTIALS
from wirebloom.analysis.strand import Basis
from wirebloom.kernels.layout import Floats

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

REACHED = 0.9  # of the final amplitude: started
FINE = 400  # places along ln A


class Rise(NamedTuple):
    """One partial alone: from its start to a state that it keeps. time_s is infinite where it would have to grow while it fades.

    share: of the amplitude at which it would meet a face.
    """

    partial: int
    amplitude: float
    time_s: float
    share: float


def flow_of(basis: Basis, string: int, partials: int = PARTIALS, samples: int = SAMPLES) -> Envelopes:
    """Slow flow of a string's first partials."""
    frequency = basis.model.strings.frequency[string, 0]
    alive = int(np.count_nonzero(frequency > 0.0))
    return Envelopes(basis, string, np.arange(1, min(partials, alive) + 1), float(frequency[0]), samples)


def heard(flow: Envelopes) -> bool:
    """Whether any head of a loop stands under the string."""
    return flow.poles.size > 0 and bool(np.any(flow.basis.model.poles.circuit[flow.poles] >= 0))


def rises(compiled: Compiled, flow: Envelopes, scan: Growths | None = None) -> tuple[Rise, ...]:
    """All partials that have a state to grow to, those first that fill most of the gap there: they quench the others."""
    scan, first = growths(flow) if scan is None else scan, begun(compiled, flow)
    found = [_rise(flow, scan, first, crossing) for crossing in crossings(flow, scan)]
    return tuple(sorted(found, key=lambda own: -own.share))


def _rise(flow: Envelopes, scan: Growths, first: Floats, crossing: Crossing) -> Rise:
    row = crossing.partial - 1
    size, growth = scan.amplitude[row], scan.growth[row]
    final = level(size, growth, crossing.amplitude)
    return Rise(crossing.partial, final, rise_time(size, growth, float(first[row]), final), final / float(size[-1]))


def level(amplitude: Floats, growth: Floats, near: float) -> float:
    """Amplitude near one at which the growth goes through zero; the last of them where it still grows there."""
    k = int(np.searchsorted(amplitude, near))
    if k >= amplitude.size or growth[k] > 0.0:
        return float(amplitude[-1])
    low, high = (float(amplitude[i] * growth[i]) for i in (k - 1, k))
    return float(amplitude[k - 1] + (amplitude[k] - amplitude[k - 1]) * low / (low - high))


def rise_time(amplitude: Floats, growth: Floats, first: float, final: float) -> float:
    """Time from one amplitude to 90 % of another, s; growth (1/s) read between its places, A growth straight over A.

    Examples
    --------
    An amplitude that grows ninetyfold at 2 nepers a second:

    >>> size, growth = np.array([1e-9, 1e-3]), np.array([2.0, 2.0])
    >>> f"{rise_time(size, growth, 1e-6, 1e-4):.3f} {np.log(90.0) / 2.0:.3f}"
    '2.250 2.250'
    """
    ends = float(np.log(first)), float(np.log(REACHED * final))
    if ends[1] <= ends[0]:
        return 0.0
    places = np.linspace(ends[0], ends[1], FINE)
    size = np.exp(places)
    rate = np.where(size < amplitude[0], growth[0], np.interp(size, amplitude, amplitude * growth) / size)
    return float(np.trapezoid(1.0 / rate, places)) if rate.min() > 0.0 else np.inf
