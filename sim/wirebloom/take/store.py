"""The file of a take: HDF5 with dimension scales, `units` and `long_name`, so that xarray opens every group as it is.

Format, version 1
-----------------
Groups ``signals``, ``frames`` and ``shape`` hold the arrays of a take, ``sheet/strings``, ``sheet/poles`` and ``sheet/loops``
one row a string, pole and loop; `wirebloom.take.contents` lists every variable. Dimensions: time, pole, polarisation, loop,
string, partial, frame, phase, x, and sense_head, drive_head for the heads in series in a loop. Strings with fewer partials
than others are filled with 0 beyond the number in ``partials``.

Attributes of the root: ``kind`` ("wirebloom take"), ``format_version``, ``title``, ``digest``, ``scenario``, ``overrides``,
``seed``, ``status``, ``duration_s``, ``rate_Hz``, ``audio_rate_Hz``; ``version_…`` of every package, ``wall_…`` for the time it
took. Attributes of ``sheet``: ``limits``, ``cautions``.

Every number in a file is finite; a take with one that is not is refused. Arrays are stored as they are, uncompressed: on real
signals compression saves two fifths and takes ten times as long.
"""

from __future__ import annotations

import contextlib
import re
import uuid
from collections.abc import Iterator
from pathlib import Path

import h5py
import numpy as np

from wirebloom.errors import FileError
from wirebloom.take import contents
from wirebloom.take.attributes import (
    ContentError,
    fault,
    read_text,
    read_whole,
    write_attributes,
)
from wirebloom.take.scales import Axis, labels, numbers, write_group
from wirebloom.take.take import Take

KIND = "wirebloom take"
FORMAT_VERSION = 1
POLARISATIONS = labels(("towards heads", "sideways"), "direction of motion")


def save(take: Take, path: str | Path) -> None:
    """Write a take to a file, in place of any that is there.

    It is written beside its final place and renamed, so that no reader ever sees half a file.

    Parameters
    ----------
    take : Take
    path : str or Path
        Its folder must exist.

    Raises
    ------
    FileError
        If the file cannot be written, or a number of the take is not finite.
    """
    target = Path(path)
    part = target.parent / f".{uuid.uuid4().hex}.part"
    try:
        part.touch(exist_ok=False)  # where nothing can be written, the system says why more clearly than the library
        with h5py.File(part, "w") as file:
            _write(file, take)
        part.replace(target)
    except ContentError as problem:
        raise FileError(f"{path}: {problem}") from None
    except (OSError, RuntimeError) as problem:
        raise FileError(f"{path} must be a file that can be written; instead received the answer '{_reason(problem)}'.") from problem
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def load(path: str | Path) -> Take:
    """Read a take from a file.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    Take
        Equal to the one that was saved, to the last bit.

    Raises
    ------
    FileError
        If the file is missing, truncated, damaged, of another kind, of no version or of a newer one.
    """
    with _opened(Path(path)) as file:
        _check_kind(file)
        return _read(file)


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[h5py.File]:
    """Open a file to read; whatever goes wrong in it becomes one sentence that names it."""
    if not path.is_file():
        raise FileError(f"{path} must be the file of a take; instead received {'a folder' if path.is_dir() else 'no file'}.")
    try:
        if not h5py.is_hdf5(path):
            path.open("rb").close()  # one that may not be read says so here
            raise fault("it", "an HDF5 file", "something else")
        with h5py.File(path, "r") as file:
            yield file
    except ContentError as problem:
        raise FileError(f"{path}: {problem}") from None
    except (OSError, RuntimeError, KeyError, ValueError, TypeError) as problem:
        raise FileError(f"{path} must be a whole, readable file; instead received the answer '{_reason(problem)}'.") from problem


def _reason(problem: Exception) -> str:
    """Return why, in the system's or the library's own few words."""
    if isinstance(problem, OSError) and problem.strerror:
        return problem.strerror
    inner = re.search(r"error message = '([^']+)'", str(problem)) or re.search(r"\(([^():]+)", str(problem))
    return inner[1].strip() if inner else type(problem).__name__


def _check_kind(file: h5py.File) -> None:
    kind = read_text(file, "kind") if "kind" in file.attrs else "no kind"
    if kind != KIND:
        raise fault("kind", f'"{KIND}"', f'"{kind}"')
    version = read_whole(file, "format_version")
    if not 1 <= version <= FORMAT_VERSION:
        raise fault("format_version", f"1 to {FORMAT_VERSION}, as far as this program knows", version)


def _write(file: h5py.File, take: Take) -> None:
    sheet, signals, frames, shape = take.sheet, take.signals, take.frames, take.shape
    write_attributes(file, _root(take))
    names = {
        "polarisation": POLARISATIONS,
        "string": labels([string.name for string in sheet.strings], "string"),
        "pole": labels([f"{pole.string} over {pole.head}" for pole in sheet.poles], "string over a head"),
        "loop": labels([loop.name for loop in sheet.loops], "loop"),
    }
    time = np.arange(signals.displacement.shape[0], dtype=np.float64)
    time /= take.audio_rate
    write_group(file.create_group("signals"), contents.SIGNALS, vars(signals), names | {"time": Axis(time, "s", "time")})
    counts = {"frame": numbers(frames.time.size, "number of the frame"), "partial": _partials(frames.amplitude.shape[-1])}
    write_group(file.create_group("frames"), contents.FRAMES, vars(frames), names | counts)
    counts = {"phase": numbers(shape.time.size, "number of the picture"), "x": numbers(shape.x.shape[-1], "point along the string")}
    pictures = {"time": shape.time, "place": shape.x, "displacement": shape.displacement}
    write_group(file.create_group("shape"), contents.SHAPE, pictures, names | counts)
    _write_sheet(file.create_group("sheet"), sheet, names)


def _partials(count: int) -> Axis:
    return numbers(count, "number of the partial", first=1)


def _root(take: Take) -> dict[str, str | float | int | tuple[str, ...]]:
    return {
        "kind": KIND,
        "format_version": FORMAT_VERSION,
        "title": take.sheet.title,
        "digest": take.sheet.digest,
        "scenario": take.scenario,
        "overrides": take.overrides,
        "seed": take.seed,
        "status": take.status,
        "duration_s": float(take.duration_s),
        "rate_Hz": float(take.rate),
        "audio_rate_Hz": float(take.audio_rate),
        **{f"version_{name}": version for name, version in take.versions.items()},
        **{f"wall_{name}": float(value) for name, value in take.wall.items()},
    }


def _write_sheet(group: h5py.Group, sheet: Sheet, names: dict[str, Axis]) -> None:
    write_attributes(group, {"limits": sheet.limits, "cautions": sheet.cautions})
    strings, poles, loops = (
        to_columns(sheet.strings, contents.STRINGS),
        to_columns(sheet.poles, contents.POLES),
        to_columns(sheet.loops, contents.LOOPS),
    )
    strings[contents.PARTIALS] = np.array([string.frequency_Hz.shape[-1] for string in sheet.strings], dtype=np.int64)
    poles[contents.PARTIALS] = np.array([pole.weight.size for pole in sheet.poles], dtype=np.int64)
    axes = names | {"partial": _partials(strings["frequency_Hz"].shape[-1])}
    write_group(group.create_group("strings"), contents.with_partials(contents.STRINGS, "string"), strings, axes)
    axes = names | {"partial": _partials(poles["weight"].shape[-1])}
    write_group(group.create_group("poles"), contents.with_partials(contents.POLES, "pole"), poles, axes)
    axes = names | {f"{role}_head": numbers(loops[role].shape[-1], "place in the series") for role in ("sense", "drive")}
    write_group(group.create_group("loops"), contents.LOOPS, loops, axes)


def _read(file: h5py.File) -> Take:
    shape = read_group(_group(file, "shape"), contents.SHAPE)
    return Take(
        sheet=_read_sheet(file),
        scenario=read_text(file, "scenario"),
        overrides=read_texts(file, "overrides"),
        seed=read_whole(file, "seed"),
        status=read_text(file, "status"),
        duration_s=read_number(file, "duration_s"),
        rate=read_number(file, "rate_Hz"),
        audio_rate=read_number(file, "audio_rate_Hz"),
        versions=read_family(file, "version_", read_text),
        signals=Signals(**read_group(_group(file, "signals"), contents.SIGNALS)),
        frames=Frames(**read_group(_group(file, "frames"), contents.FRAMES)),
        shape=Shape(time=shape["time"], x=shape["place"], displacement=shape["displacement"]),
        wall=read_family(file, "wall_", read_number),
    )


def _read_sheet(file: h5py.File) -> Sheet:
    strings = read_group(_group(file, "sheet/strings"), contents.with_partials(contents.STRINGS, "string"))
    poles = read_group(_group(file, "sheet/poles"), contents.with_partials(contents.POLES, "pole"))
    loops = read_group(_group(file, "sheet/loops"), contents.LOOPS)
    about = _group(file, "sheet")
    return Sheet(
        title=read_text(file, "title"),
        digest=read_text(file, "digest"),
        strings=to_rows(StringSheet, strings, contents.STRINGS, strings[contents.PARTIALS]),
        poles=to_rows(PoleSheet, poles, contents.POLES, poles[contents.PARTIALS]),
        loops=to_rows(LoopSheet, loops, contents.LOOPS),
        limits=read_texts(about, "limits"),
        cautions=read_texts(about, "cautions"),
    )


def _group(file: h5py.File, name: str) -> h5py.Group:
    found = file.get(name)
    if not isinstance(found, h5py.Group):
        raise fault(f"/{name}", "a group of the file", "nothing" if found is None else "a variable")
    return found
