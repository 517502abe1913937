"""What is saved is what is loaded, to the last bit."""

import tracemalloc
from dataclasses import fields, replace

import h5py
import numpy as np
import pytest
import xarray

from wirebloom.take.moments import has_phases
from wirebloom.take.store import load, save
from wirebloom.take.take import Frames, Signals

from .make_version_1 import FILE, make_take
from .same import differences


def there_and_back(take, folder):
    save(take, folder / "take.h5")
    return load(folder / "take.h5")


def test_uneven_strings(tmp_path):
    """Five partials and three, loops with one sensing head and two, an idle head: nothing filled up may come back."""
    take = make_take()
    assert differences(take, there_and_back(take, tmp_path)) == []


def without_heads(take):
    """The same strings with no head and no loop."""
    fast = {name: values[:, :0] for name, values in vars(take.signals).items() if name != "bridge_force"}
    slow = ("least_gap", "most_contact", "supplied", "noise", "drive_heat", "sense_heat", "drive_work")
    slow += ("output_square", "drawn_high", "drawn_low")
    return replace(
        take,
        sheet=replace(take.sheet, poles=(), loops=()),
        signals=replace(take.signals, **fast),
        frames=replace(take.frames, **{name: getattr(take.frames, name)[:, :0] for name in slow}),
    )


def stopped_at_once(take):
    """Ctrl-C before the first frame was full: no sample, and the row of t = 0."""
    return replace(
        take,
        status="interrupted",
        duration_s=0.0,
        signals=Signals(**{name: values[:0] for name, values in vars(take.signals).items()}),
        frames=Frames(**{name: values[:1] for name, values in vars(take.frames).items()}),
    )


@pytest.mark.parametrize("change", [without_heads, stopped_at_once])
def test_nothing_there(change, tmp_path):
    """Dimensions without a single value."""
    take = change(make_take())
    assert differences(take, there_and_back(take, tmp_path)) == []
    for group in ("signals", "frames", "shape", "sheet/strings", "sheet/poles", "sheet/loops"):
        xarray.open_dataset(tmp_path / "take.h5", group=group, engine="h5netcdf").load().close()


def test_bits(tmp_path):
    """Negative zero, the smallest number there is and the largest."""
    take = make_take()
    take.signals.drive_voltage.flat[:4] = -0.0, 1e-45, np.finfo(np.float32).max, np.float32(0.1)
    take.frames.residual[:3] = -0.0, 5e-324, np.finfo(np.float64).max
    assert differences(take, there_and_back(take, tmp_path)) == []


def test_numbers_that_are_not_the_same_are_noticed():
    take = make_take()
    other = replace(take, frames=replace(take.frames, residual=np.nextafter(take.frames.residual, 1.0)), seed=2)
    assert differences(take, other) == ["take.seed", "take.frames.residual"]


def with_phases(take):
    """The same with an angle for every partial, in single precision as a run leaves them."""
    phase = np.linspace(0.0, 6.283, take.frames.phase.size, dtype=np.float32).reshape(take.frames.phase.shape)
    return replace(take, frames=replace(take.frames, phase=phase))


def test_phases(tmp_path):
    """Four bytes an angle on disk, not eight: 1 % of a file and not 2."""
    take = with_phases(make_take())
    assert differences(take, there_and_back(take, tmp_path)) == []
    with h5py.File(tmp_path / "take.h5") as file:
        assert file["frames/phase"].dtype == np.float32
        assert file["frames/phase"].attrs["units"] == "rad"


def test_a_file_from_before_there_were_phases_says_so_and_can_be_written_anew(tmp_path):
    old = load(FILE)
    assert old.frames.phase.shape == old.frames.amplitude.shape
    assert (old.frames.phase == -1.0).all()
    assert not has_phases(old)
    assert differences(old, there_and_back(old, tmp_path)) == []


def test_phases_of_another_program_in_double_precision(tmp_path):
    take = with_phases(make_take())
    save(take, tmp_path / "take.h5")
    with h5py.File(tmp_path / "take.h5", "r+") as file:
        del file["frames/phase"]
        file["frames/phase"] = take.frames.phase.astype(np.float64)
    assert differences(take, load(tmp_path / "take.h5")) == []


def test_texts(tmp_path):
    """A scenario longer than the 64 kB that an attribute holds by itself; no overrides; empty texts; other alphabets."""
    long = 'format = 1\n# "Möwe" 鷗\n' * 10_000
    bare = replace(make_take().sheet, title="", limits=(), cautions=("", "näher als 1 µm"))
    take = replace(make_take(), scenario=long, overrides=(), sheet=bare, versions={}, wall={}, seed=2**63 - 1)
    assert differences(take, there_and_back(take, tmp_path)) == []


def test_columns_of_a_recorder(tmp_path):
    """A run's signals are columns of one table; they must come out in order all the same."""
    take = make_take()
    apart = {f.name: np.stack([getattr(take.signals, f.name)] * 3, axis=-1)[..., 1] for f in fields(Signals)}
    assert not any(values.flags.c_contiguous for values in apart.values())
    assert differences(take, there_and_back(replace(take, signals=Signals(**apart)), tmp_path)) == []


def long_take(samples):
    """Interleaved signals of so many samples, as a recorder leaves them: larger than the blocks in which they are written."""
    take = make_take()
    widths = {f.name: getattr(take.signals, f.name)[0].size for f in fields(Signals)}
    table = np.random.default_rng(1).standard_normal((samples, sum(widths.values())), dtype=np.float32)
    ends = dict(zip(widths, np.cumsum(list(widths.values())), strict=True))
    parts = {name: table[:, ends[name] - widths[name] : ends[name]] for name in widths}
    signals = Signals(**{name: part.reshape(samples, *getattr(take.signals, name).shape[1:]) for name, part in parts.items()})
    return replace(take, signals=signals), table.nbytes


def test_memory(tmp_path):
    """Saving needs little beside the take, loading little beside its result."""
    take, size = long_take(240_000)
    tracemalloc.start()
    try:
        save(take, tmp_path / "take.h5")
        saving = tracemalloc.get_traced_memory()[1]
        tracemalloc.reset_peak()
        loaded = load(tmp_path / "take.h5")
        loading = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert differences(take, loaded) == []
    assert saving < 0.25 * size
    assert loading < 1.25 * size
