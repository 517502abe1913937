"""Where a string is at any moment of a take.

At the ends of the frames amplitude and phase of the partials are its exact state. Between two of them every partial turns at
its own pace; amplitude, and the angle by which it runs ahead of that pace, go over in a straight line. What is then left over
at the heads, where the motion was recorded, is the answer of all partials to the heads' forces: shapes of a string under steady
forces at the heads, Δq_n ∝ Σ_j w_jn f_j/ω_n², take it away.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wirebloom.take.take import Floats, Take
from wirebloom.take.window import poles_of

TURN = 2.0 * np.pi
STRAY = 2.0 ** (100.0 / 1200.0)  # 100 cents: no partial sounds farther from its free pitch; what says so is noise


def has_phases(take: Take) -> bool:
    """Whether there are phases of the partials to tell a motion from: files from before they were recorded have none."""
    phase = take.frames.phase
    return take.frames.time.size > 1 and phase.size > 0 and phase.shape == take.frames.amplitude.shape and bool((phase >= 0.0).all())


def has_signal(take: Take, name: str) -> bool:
    """Whether there is a sample of a signal: a damaged file may have lost it."""
    return len(getattr(take.signals, name)) > 0 and name not in take.lost


def recorded_at(take: Take, signal: NDArray[np.floating], seconds: ArrayLike) -> Floats:
    """A signal (t, …) at any moments (m,) of the take, on straight lines between its samples, (m, …)."""
    place = np.clip(np.asarray(seconds, dtype=float) * take.audio_rate, 0.0, len(signal) - 1)
    before = np.minimum(place.astype(int), max(len(signal) - 2, 0))
    share = (place - before).reshape(-1, *(1,) * (signal.ndim - 1))
    after = np.minimum(before + 1, len(signal) - 1)
    return np.asarray((1.0 - share) * signal[before] + share * signal[after])


def partials_at(take: Take, string: int, seconds: ArrayLike) -> Floats:
    """Modal displacements of a string, its rest included.

    Parameters
    ----------
    take : Take
        One with phases (:func:`has_phases`).
    string : int
        Index into ``take.sheet.strings``.
    seconds : (m,) array
        Within the take, s.

    Returns
    -------
    (m, 2, N) ndarray
        Of the string's own partials, m.
    """
    when = np.asarray(seconds, dtype=float)
    moved = _turned(take, string, when)
    poles = poles_of(take, string)
    if poles and has_signal(take, "displacement"):
        left = recorded_at(take, take.signals.displacement[:, poles], when) - np.einsum("mpn,jn->mjp", moved, _weights(take, poles))
        moved += np.einsum("pnj,mjp->mpn", _answers(take, string, poles), left)
    return moved


def shape_at(take: Take, string: int, seconds: ArrayLike, places: NDArray[np.floating]) -> Floats:
    """Displacement (m, 2, X) of a string at places (X,) along it (m), towards the heads and sideways, m."""
    return along(take, string, partials_at(take, string, seconds), places)


def along(take: Take, string: int, moved: Floats, places: NDArray[np.floating]) -> Floats:
    """Shape (…, X) at places (X,) along a string (m) of modal displacements (…, N), m: Σ q_n sin(nπx/L)."""
    numbers = np.arange(1, moved.shape[-1] + 1)
    return np.asarray(moved @ np.sin(np.pi / take.sheet.strings[string].length_m * numbers[:, None] * places))


def period_at(take: Take, string: int, second: float) -> float:
    """Period of partial 1 as the string sounds at a moment, s: from how far its widest partial turns within the frame there."""
    free = take.sheet.strings[string].frequency_Hz
    frame = int(_frame_of(take, np.array([second]))[0][0])
    height = take.frames.amplitude[frame + 1, string, :, : free.shape[-1]]
    side, place = np.unravel_index(int(height.argmax()), free.shape)
    ahead = float(_ahead(take, string, np.array([frame]))[0, side, place]) / float(np.diff(take.frames.time)[frame])
    own = float(free[side, place])
    found = own + ahead / TURN
    heard = height[side, place] > 0.0 and own / STRAY < found < own * STRAY
    return float(place + 1) / (found if heard else own)


def _turned(take: Take, string: int, when: Floats) -> Floats:
    """Modal displacements (m, 2, N) by turning every partial on from the frame before, m."""
    sheet = take.sheet.strings[string]
    free, (frame, share) = sheet.frequency_Hz, _frame_of(take, when)
    height, angle = (values[:, string, :, : free.shape[-1]] for values in (take.frames.amplitude, take.frames.phase))
    part, since = share[:, None, None], (when - take.frames.time[frame])[:, None, None]
    turned = angle[frame] + TURN * free * since + part * _ahead(take, string, frame)
    return np.asarray(sheet.rest_m + ((1.0 - part) * height[frame] + part * height[frame + 1]) * np.cos(turned))


def _frame_of(take: Take, when: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Row (m,) of the frame's beginning before each moment, and how far towards its end that lies, 0 to 1."""
    time = take.frames.time
    frame = np.clip(np.searchsorted(time, when, side="right") - 1, 0, time.size - 2)
    return frame, (when - time[frame]) / (time[frame + 1] - time[frame])


def _ahead(take: Take, string: int, frame: NDArray[np.int64]) -> Floats:
    """By how much every partial (m, 2, N) turns more within these frames than its free pace, −π to π rad."""
    free = take.sheet.strings[string].frequency_Hz
    start, end = (take.frames.phase[rows, string, :, : free.shape[-1]].astype(float) for rows in (frame, frame + 1))
    paced = TURN * free * (take.frames.time[frame + 1] - take.frames.time[frame])[:, None, None]
    return np.asarray(np.mod(end - start - paced + np.pi, TURN) - np.pi)


def _weights(take: Take, poles: list[int]) -> Floats:
    return np.array([take.sheet.poles[j].weight for j in poles])


def _answers(take: Take, string: int, poles: list[int]) -> Floats:
    """Modal displacements (2, N, J) under such steady forces at the heads as move the string by 1 at one and by 0 at the others."""
    soft = 1.0 / take.sheet.strings[string].frequency_Hz[:, :, None] ** 2 * _weights(take, poles).T  # (2, N, J)
    return np.asarray(soft @ np.linalg.pinv(np.einsum("jn,pnk->pjk", _weights(take, poles), soft)))
