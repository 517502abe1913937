"""Pictures that follow one another → GIF or MP4, the same bytes for the same pictures."""

from __future__ import annotations

import math
import os
import subprocess
from collections.abc import Iterable, Iterator
from contextlib import suppress
from itertools import chain, pairwise, repeat
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wirebloom.views.film import Film

Picture = NDArray[np.uint8]

COLOURS = 64  # of the palette: lines, greys and their smooth edges
WATCHED = 6.0  # s that a video plays at least: players do not begin again by themselves
COARSE = 3  # bits by which colours are rounded before the nearest of the palette is looked up
CENTISECOND = 0.01  # s: a GIF counts in these


def lengths(shown: Film) -> list[int]:
    """Return how long each picture stands, in hundredths of a second: rounded so that none is early or late by more than half of one."""
    ends = [round(shown.plays_s * (picture + 1) / shown.moments.size / CENTISECOND) for picture in range(shown.moments.size)]
    return [end - start for start, end in pairwise([0, *ends])]


def write_gif(drawn: Iterator[Picture], shown: Film, path: Path) -> None:
    """Write pictures as a GIF that plays for ever, all in the colours of the first one."""
    from PIL import Image  # noqa: PLC0415 - only where an animation is wanted

    opening = next(drawn)
    colours = palette_of(opening)
    nearest = nearest_of(colours)
    shots = []
    for picture in chain([opening], drawn):
        shots.append(Image.fromarray(nearest[tuple(np.moveaxis(picture >> COARSE, -1, 0))]))
        shots[-1].putpalette(colours.tobytes())
    shots[0].save(
        path, format="GIF", save_all=True, append_images=shots[1:], duration=[10 * length for length in lengths(shown)], loop=0, disposal=1,
        optimize=True,
    )  # fmt: skip


def palette_of(picture: Picture) -> Picture:
    """Return few colours (c, 3) that stand for all of a picture, its ground exactly."""
    from PIL import Image  # noqa: PLC0415

    few = Image.fromarray(picture).quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    colours = np.array(few.getpalette(), dtype=np.uint8).reshape(-1, 3)
    colours[np.asarray(few)[0, 0]] = picture[0, 0]
    return colours


def nearest_of(colours: Picture) -> Picture:
    """Return which of the colours is nearest to red, green and blue in steps of eight, (32, 32, 32)."""
    steps = np.arange(256 >> COARSE) * 255.0 / ((256 >> COARSE) - 1)
    mixed = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)[..., None, :] - colours
    return np.asarray((mixed**2).sum(axis=-1).argmin(axis=-1), dtype=np.uint8)


def write_mp4(drawn: Iterator[Picture], shown: Film, path: Path) -> None:
    """Write pictures as a video that any player knows, the film as often as it takes to be watched."""
    opening = next(drawn)
    height, width = opening.shape[:2]
    words = [
        "ffmpeg", "-v", "error", "-y", "-f", "rawvideo", "-pixel_format", "rgb24", "-video_size", f"{width}x{height}",
        "-framerate", f"{round(1e6 * shown.moments.size)}/{round(1e6 * shown.plays_s)}", "-i", "pipe:0",
        "-c:v", "libx264", "-preset", "veryfast", "-crf", "20", "-pix_fmt", "yuv420p", "-threads", "1",
        "-fflags", "+bitexact", "-flags:v", "+bitexact", "-map_metadata", "-1", "-movflags", "+faststart", os.fspath(path),
    ]  # fmt: skip
    again = math.ceil(WATCHED / shown.plays_s)
    once = chain([opening], drawn)
    _encode(words, once if again == 1 else chain.from_iterable(repeat(list(once), again)))


def _encode(words: list[str], shots: Iterable[Picture]) -> None:
    """Hand pictures to a coder one by one: all of a long film would fill the memory."""
    with suppress(BrokenPipeError), subprocess.Popen(words, stdin=subprocess.PIPE, stderr=subprocess.DEVNULL) as coder:
        for shot in shots:
            coder.stdin.write(shot.tobytes())  # type: ignore[union-attr]
    if coder.returncode:
        raise subprocess.CalledProcessError(coder.returncode, words)
