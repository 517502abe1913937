"""Growth and pitch of all partials, read from a short time run as one reads them from a recording: no model of the rig goes in.

All partials begin at the same tiny amplitude, without noise. While the loop is linear the bridge forces are sums of exponentials, and
the matrix pencil finds the exponents (Hua and Sarkar 1990, IEEE Trans. ASSP 38:814, from memory), all channels at once: two
polarisations that lie a thousandth of a hertz apart differ in where they are heard.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wirebloom.compile import Compiled
from wirebloom.kernels.layout import State
from wirebloom.kernels.ledger import core_linkages, linkages, pole_motion, turned
from wirebloom.run.inputs import no_inputs
from wirebloom.run.recorder import blank_record
from wirebloom.run.simulate import Engine

LINEAR = 0.01  # of the swing, that the drive may reach
START = 1e-11  # m: small enough for 1 % of the swing to be far away, large enough for rounding to be
PERIODS = 12.0  # of the lowest pitch
PIECES = 8  # parts of a run, after each of which the drive is looked at
ABOVE = 3.4  # samples a period of the highest partial
RANK = 1e-11  # of the largest singular value: what is below counts as rounding


class Heard(NamedTuple):
    """Bridge forces about rest (T, 2S), N, at `rate`, Hz."""

    rate: float
    bridge: np.ndarray


def begun(compiled: Compiled, amplitude: float, seed: int) -> State:
    """Every partial about rest at an amplitude (m) and a phase drawn by lot; flux linkages as rest has them there."""
    model, draw = compiled.model, np.random.default_rng(seed)
    pace = model.strings.frequency
    phase = np.exp(2j * np.pi * draw.random(pace.shape)) * (pace > 0.0)
    moved = pole_motion(model, turned(compiled.rest, np.zeros_like(pace), model.ahead)[0])
    return compiled.state._replace(
        q=compiled.rest + amplitude * phase.real,
        v=amplitude * pace * phase.imag,
        flux=linkages(model, moved),
        eddy=core_linkages(model, moved),
    )


def small_run(compiled: Compiled, amplitude: float = START, seed: int = 1) -> Heard:
    """Run from a small amplitude (m) for some periods of the lowest pitch, or until a drive reaches 1 % of its swing."""
    plan, sounding = compiled.plan, compiled.model.strings.frequency[compiled.model.strings.frequency > 0.0] / (2.0 * np.pi)
    every = max(1, int(plan.rate / (ABOVE * sounding.max())))
    steps = every * round(PERIODS / PIECES / sounding.min() * plan.rate / every)
    engine = Engine(replace(compiled, state=begun(compiled, amplitude, seed)))
    engine.begin()
    record, pieces = blank_record(compiled.model, steps), []
    rest = np.einsum("sn,spn->sp", compiled.model.strings.bridge, compiled.rest)
    for _ in range(PIECES):
        engine.step(no_inputs(compiled.model, steps), record)
        if not quiet(compiled, record.output):
            break
        pieces.append((record.bridge[::every] - rest).reshape(-1, rest.size))
    return Heard(plan.rate / every, np.concatenate(pieces) if pieces else np.zeros((0, rest.size)))


def quiet(compiled: Compiled, output: np.ndarray) -> bool:
    """Whether all outputs (n, A), V, stay within 1 % of their swing."""
    bias = np.array([loop.bias_V for loop in compiled.sheet.loops])
    swing = np.array([min(loop.swing_high_V, -loop.swing_low_V) for loop in compiled.sheet.loops])
    return bool(np.all(np.abs(output - bias) < LINEAR * swing))


def exponents(heard: Heard) -> np.ndarray:
    """All exponents in what was heard, growth (1/s) + 2πi · frequency."""
    rows = heard.bridge.shape[0] // 2
    channels = [signal / np.abs(signal).max() for signal in heard.bridge.T]
    hankel = np.concatenate([np.lib.stride_tricks.sliding_window_view(signal, rows).T for signal in channels], axis=1)
    left, size, _ = np.linalg.svd(hankel, full_matrices=False)
    kept = left[:, : int((size > RANK * size[0]).sum())]
    turn = np.linalg.eigvals(np.linalg.lstsq(kept[:-1], kept[1:], rcond=None)[0])
    return np.asarray(heard.rate * np.log(turn.astype(complex)))
