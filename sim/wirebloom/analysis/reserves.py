"""How much louder than its share a string's loop hears it, with heads at other gaps: thresholds followed from gap to gap.

A threshold at one gap is near that at another: its pitch moves with the magnets' stiffness, its share against the force factors.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from wirebloom.analysis.motional import Bench, Complex
from wirebloom.analysis.regapped import Held, regapped
from wirebloom.analysis.small import MOST, sense_knob
from wirebloom.analysis.thresholds import onto_axis
from wirebloom.analysis.tracking import in_the_field, loaded
from wirebloom.kernels.layout import Floats, Ints
from wirebloom.take.check_small import PartialCheck

SURE = 0.7  # in logarithms: a share that far from what was expected is looked for from the start
BEYOND = 1e6  # share of a partial that does not grow at all


class Edge(NamedTuple):
    """Where partials (K,) of a string stand between growing and fading."""

    share: Floats
    root: Complex  # there
    square: Floats  # of each in the field of its magnets, to first order, s⁻²


class Reserve(NamedTuple):
    """The least share that any partial of a string needs, and which one that is (from 1)."""

    share: float
    partial: int
    edge: Edge


def reserve_now(held: Held, tried: Sequence[PartialCheck]) -> Reserve:
    """As the heads stand, as far as it is known already."""
    share = np.array([BEYOND if p.share is None else p.share for p in tried])
    opened, closed = np.array([p.open_Hz for p in tried]), np.array([p.frequency_Hz for p in tried])
    root = 2j * np.pi * (opened + share * (closed - opened))
    return Reserve(float(share.min()), tried[int(share.argmin())].partial, Edge(share, root, _squares(held.bench, _modes(held, tried))))


def reserve(held: Held, gaps: Mapping[int, float], tried: Sequence[PartialCheck], near: Edge) -> Reserve | None:
    """With poles at other gaps, from where it may be near; None where the string no longer hangs clear."""
    bench = regapped(held, gaps)
    if bench is None:
        return None
    modes = _modes(held, tried)
    square = _squares(bench, modes)
    root, share = _from(bench, near._replace(root=near.root + 0.5 * (square - near.square) / near.root.imag * 1j))
    strayed = np.flatnonzero(~(np.abs(np.log(share / near.share)) < SURE))
    if strayed.size:
        root[strayed], share[strayed] = _from_open(bench, modes[strayed])
    return Reserve(float(share.min()), tried[int(share.argmin())].partial, Edge(share, root, square))


def _from(bench: Bench, near: Edge) -> tuple[Complex, Floats]:
    """Roots and shares of partials at the edge, by what they may be near."""
    found = onto_axis(bench, near.root, near.share, sense_knob(bench), MOST)
    return found.root, found.knob


def _from_open(bench: Bench, modes: Ints) -> tuple[Complex, Floats]:
    """The same from opened loops on; `BEYOND` for those that no loudness makes grow."""
    knob = sense_knob(bench)
    start = loaded(bench, np.concatenate([in_the_field(strand) for strand in bench.strands]), modes, knob(np.zeros(1)))
    found = onto_axis(bench, start, np.zeros(modes.size), knob, MOST)
    gone = np.isnan(found.knob)
    return np.where(gone, start, found.root), np.where(gone, BEYOND, found.knob)


def _modes(held: Held, tried: Sequence[PartialCheck]) -> Ints:
    """Places of partials among the modes of the string's bench."""
    places = [place for strand in held.bench.strands for place in strand.place]
    return np.array([places.index((held.s, p.polarisation, p.partial - 1)) for p in tried])


def _squares(bench: Bench, modes: Ints) -> Floats:
    """ω² (K,) of some modes in the field of their magnets, to first order."""
    every = [strand.square - ((strand.stiffness @ strand.shape) * strand.shape).sum(axis=0) for strand in bench.strands]
    return np.asarray(np.concatenate(every)[modes])
