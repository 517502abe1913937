"""A take ↔ the groups and attributes of its file."""

from __future__ import annotations

import h5py
import numpy as np

from wirebloom.take import contents
from wirebloom.take.attributes import fault, read_family, read_number, read_text, read_texts, read_whole, write_attributes
from wirebloom.take.band_columns import band_arrays, band_of
from wirebloom.take.columns import to_columns, to_rows
from wirebloom.take.scales import Axis, labels, numbers, read_group, write_group
from wirebloom.take.sheet import CoilSheet, LoopSheet, PoleSheet, Sheet, StringSheet, SupplySheet
from wirebloom.take.take import Frames, Shape, Signals, Take

POLARISATIONS = labels(("towards heads", "sideways"), "direction of motion")


def write_take(file: h5py.File, take: Take) -> None:
    """Write all of a take; ContentError if a part of it cannot be stored.

    The long signals come last: a file that is cut off loses the ends of these, and all that tells what they are stays.
    """
    sheet, signals, frames, shape = take.sheet, take.signals, take.frames, take.shape
    write_attributes(file, _root(take))
    names = {
        "polarisation": POLARISATIONS,
        "string": labels([string.name for string in sheet.strings], "string"),
        "pole": labels([f"{pole.string} over {pole.head}" for pole in sheet.poles], "string over a head"),
        "loop": labels([loop.name for loop in sheet.loops], "loop"),
    }
    _write_sheet(file.create_group("sheet"), sheet, names)
    counts = {"frame": numbers(frames.time.size, "number of the frame"), "partial": _partials(frames.amplitude.shape[-1])}
    write_group(file.create_group("frames"), contents.FRAMES, vars(frames), names | counts)
    counts = {"phase": numbers(shape.time.size, "number of the picture"), "x": numbers(shape.x.shape[-1], "point along the string")}
    pictures = {"time": shape.time, "place": shape.x, "displacement": shape.displacement}
    write_group(file.create_group("shape"), contents.SHAPE, pictures, names | counts)
    if take.band is not None:
        axes = names | {"frame": numbers(frames.time.size, "number of the frame"), "end": labels(tuple(take.band.ends), "end of the band")}
        write_group(file.create_group("band"), contents.BAND, band_arrays(take.band), axes)
    time = np.arange(signals.displacement.shape[0], dtype=np.float64)
    time /= take.audio_rate
    write_group(file.create_group("signals"), contents.SIGNALS, vars(signals), names | {"time": Axis(time, "s", "time")})


def _partials(count: int) -> Axis:
    return numbers(count, "number of the partial", first=1)


def _root(take: Take) -> dict[str, str | float | int | tuple[str, ...]]:
    return {
        "title": take.sheet.title,
        "digest": take.sheet.digest,
        "scenario": take.scenario,
        "overrides": take.overrides,
        "seed": take.seed,
        "status": take.status,
        "duration_s": float(take.duration_s),
        "rate_Hz": float(take.rate),
        "audio_rate_Hz": float(take.audio_rate),
        **({"lost": take.lost} if take.lost else {}),
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
    if sheet.supplies:
        _write_supplies(group.create_group("supplies"), sheet.supplies)
    if sheet.coils:
        axes = {"coil": labels([one.head for one in sheet.coils], "driving head")}
        write_group(group.create_group("coils"), contents.COILS, to_columns(sheet.coils, contents.COILS), axes)


def _write_supplies(group: h5py.Group, supplies: tuple[SupplySheet, ...]) -> None:
    columns = to_columns(supplies, contents.SUPPLIES)
    fed = numbers(columns["loops"].shape[-1], "place among the loops that it feeds")
    write_group(group, contents.SUPPLIES, columns, {"supply": labels([one.name for one in supplies], "supply"), "fed_loop": fed})


def read_take(file: h5py.File) -> Take:
    """Read all of a take; ContentError if a part of it is missing or not what it should be."""
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
        signals=_read_signals(_group(file, "signals")),
        frames=_read_frames(_group(file, "frames")),
        shape=Shape(time=shape["time"], x=shape["place"], displacement=shape["displacement"]),
        wall=read_family(file, "wall_", read_number),
        band=band_of(read_group(_group(file, "band"), contents.BAND)) if "band" in file else None,
        lost=read_texts(file, "lost") if "lost" in file.attrs else (),
    )


def _read_signals(group: h5py.Group) -> Signals:
    found = read_group(group, contents.SIGNALS)
    return Signals(**{name: values.astype(np.float32, copy=False) for name, values in found.items()})


def _read_frames(group: h5py.Group) -> Frames:
    found = read_group(group, contents.FRAMES)
    return Frames(**found | {"phase": found["phase"].astype(np.float32, copy=False)})


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
        supplies=_read_supplies(about),
        coils=_read_coils(about),
    )


def _read_supplies(sheet: h5py.Group) -> tuple[SupplySheet, ...]:
    """Named supplies; files of rigs without any, and older ones, have no such group."""
    if "supplies" not in sheet:
        return ()
    return to_rows(SupplySheet, read_group(_group(sheet, "supplies"), contents.SUPPLIES), contents.SUPPLIES)


def _read_coils(sheet: h5py.Group) -> tuple[CoilSheet, ...]:
    """Coils of driving heads; files without any, and older ones, have no such group."""
    return to_rows(CoilSheet, read_group(_group(sheet, "coils"), contents.COILS), contents.COILS) if "coils" in sheet else ()


def _group(file: h5py.File, name: str) -> h5py.Group:
    found = file.get(name)
    if not isinstance(found, h5py.Group):
        raise fault(f"/{name}", "a group of the file", "nothing" if found is None else "a variable")
    return found
