"""The spectrogram of a string: all that sounds at its bridge, with the run of each partial drawn over it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.style import INK, SHADES, dress, named, new_axis, note
from wirebloom.views.tracks import SILENCE, spectra, tracks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take
    from wirebloom.views.tracks import Spectra

DEPTH = 80.0  # dB below the loudest that the picture reaches
SCALE_BESIDE = 0.85  # of the width that the picture reaches to
BEYOND = 0.6  # of the spacing of the partials, that the picture reaches above the last


def spectrogram(take: Take, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw the spectrum of a string's bridge force over time, the lighter the louder, and the run of each partial over it.

    Parameters
    ----------
    take : Take
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    string : int
        Index into ``take.sheet.strings``.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into; its lines are the partials, from the first on.
    """
    from matplotlib.patheffects import withStroke  # noqa: PLC0415 - only where pictures are wanted

    ax = ax or new_axis(take.sheet.title, right=SCALE_BESIDE)
    found = spectra(take, string)
    run = tracks(take, string, found)
    high = float(take.sheet.strings[string].frequency_Hz[0, run.frequency.shape[1] - 1]) + BEYOND * take.sheet.strings[string].pitch_Hz
    _image(ax, take, found, high)
    casing = [withStroke(linewidth=1.9, foreground="white", alpha=0.7)]
    for n in range(run.frequency.shape[1]):
        ax.plot(run.time, run.frequency[:, n], color=INK, linewidth=0.8, label=f"partial {n + 1}", path_effects=casing)
    title = f"{named(take.sheet.strings[string].name)}: the lighter the louder; lines: partials, numbered at the right where tuned"
    dress(ax, x="time, s", y="frequency, Hz", title=title)
    ax.grid(visible=False)
    ax.set_xlim(0.0, take.duration_s)
    ax.set_ylim(0.0, high)
    _number(ax, take, string, run.frequency.shape[1])
    if np.isnan(run.frequency).all():
        note(ax, "no partial stands out")
    return ax


def _image(ax: Axes, take: Take, found: Spectra, high: float) -> None:
    """Draw the power up to a frequency (Hz), with its scale of shades."""
    rows = int(np.searchsorted(found.frequency, high)) + 1
    level = 10.0 * np.log10(np.maximum(found.power[:, :rows], SILENCE))
    top, width = float(level.max()), float(found.frequency[1]) if len(found.frequency) > 1 else 1.0
    alone = len(found.time) == 1
    half = 0.5 * (take.duration_s if alone else float(found.time[-1] - found.time[0]) / (len(found.time) - 1))
    image = ax.imshow(
        level.T, origin="lower", aspect="auto", cmap=SHADES, vmin=top - DEPTH, vmax=top, interpolation="antialiased",
        extent=(float(found.time[0]) - half, float(found.time[-1]) + half, -0.5 * width, (level.shape[1] - 0.5) * width),
    )  # fmt: skip
    bar = ax.figure.colorbar(image, cax=ax.inset_axes((1.06, 0.0, 0.025, 1.0)))
    bar.set_label("dB re 1 N", fontsize=8)
    bar.ax.tick_params(labelsize=7.5)


def _number(ax: Axes, take: Take, string: int, count: int) -> None:
    """Write the partials' numbers to the right, at whole multiples of the pitch that the string is tuned to."""
    for n in range(1, count + 1):
        height = n * take.sheet.strings[string].pitch_Hz
        ax.text(1.008, height, f"{n}", transform=ax.get_yaxis_transform(), fontsize=6.5, color=INK, va="center")
