"""Files that are cut off, spoilt or stripped: what is there comes out to the last bit, what is not is said, nothing false is measured.

Caught: zeros beyond the end of a file taken for silence, records of unequal length, a verdict from signals that are lost, a foreign
file taken for a damaged one.
"""

import random
import re
from dataclasses import replace

import h5py
import numpy as np
import pytest

from formats.same import differences
from synthetic import Tone, synthetic_take
from wirebloom.errors import FileError, RigError
from wirebloom.take.measures import measure
from wirebloom.take.salvage import salvage
from wirebloom.take.store import load, save
from wirebloom.views.build_sheet import build_sheet
from wirebloom.views.head_section import section_alt
from wirebloom.views.rig_drawing import rig_alt
from wirebloom.views.verdict import verdict

SECONDS = 1.0


@pytest.fixture(scope="module")
def whole():
    return synthetic_take([Tone(growth=0.0), Tone(partial=2, final=1e-4, growth=0.0, string=1)], duration=SECONDS, strings=2)


@pytest.fixture(scope="module")
def stored(whole, tmp_path_factory):
    file = tmp_path_factory.mktemp("takes") / "take.h5"
    save(whole, file)
    return file.read_bytes()


@pytest.fixture
def path(stored, tmp_path):
    (tmp_path / "take.h5").write_bytes(stored)
    return tmp_path / "take.h5"


def cut(path, share):
    there = path.read_bytes()
    path.write_bytes(there[: int(share * len(there))])
    return salvage(path)


def spoilt(path, act):
    with h5py.File(path, "r+") as file:
        act(file)
    return salvage(path)


def bearable(take):
    """Measures, verdict and drawings bear it."""
    found = measure(take)
    assert verdict(take, found).headline
    assert build_sheet(take, found)
    assert rig_alt(take)
    assert all(section_alt(take, pole) for pole in range(len(take.sheet.poles)))
    return found


def test_a_whole_file_is_what_load_gives(path):
    take, notices = salvage(path)
    assert notices == ()
    assert differences(take, load(path)) == []


@pytest.mark.parametrize("share", [0.98, 0.995])
def test_the_end_cut_off(path, whole, share):
    take, notices = cut(path, share)
    assert take.status == "interrupted"
    assert 0.5 * SECONDS < take.duration_s < SECONDS
    assert not take.lost
    count = len(take.signals.displacement)
    assert count == round(take.duration_s * take.audio_rate)
    for name, values in vars(take.signals).items():
        assert np.array_equal(values, getattr(whole.signals, name)[:count]), name  # and no zero of what is not there
    assert take.frames.time[-1] <= take.duration_s
    assert np.array_equal(take.frames.amplitude, whole.frames.amplitude[: take.frames.time.size])
    assert re.fullmatch(r"The file is cut off: \d\.\d of \d\.\d MB are there\.", notices[0])
    assert f"up to {take.duration_s:.2f} s of 1.00 s" in notices[1]
    assert differences(take.sheet, whole.sheet) == []
    assert bearable(take).starts


def test_half_of_it_cut_off_loses_signals_and_says_which(path, whole):
    take, notices = cut(path, 0.5)
    assert "bridge_force" in take.lost
    assert "displacement" not in take.lost
    assert not take.signals.bridge_force.any()
    assert any("force of the string on the bridge" in notice for notice in notices)
    found = bearable(take)
    assert found.loops == ()  # without the drive's current nothing is said of its power
    assert all(string.pitch_Hz is None for string in found.strings)


def test_all_signals_cut_off_leaves_the_slow_records(path, whole):
    with h5py.File(path) as file:
        begins = file["signals/displacement"].id.get_offset()
    take, notices = cut(path, begins / path.stat().st_size)
    assert set(take.lost) == set(vars(whole.signals))
    assert take.signals.displacement.shape == (0, 4, 2)
    assert np.array_equal(take.frames.least_gap, whole.frames.least_gap)
    assert any("All signals are lost" in notice for notice in notices)
    found = bearable(take)
    assert found.starts is None
    assert found.near.clearance_mm == pytest.approx(measure(whole).near.clearance_mm)
    assert (
        "Too little of its file"
        in verdict(
            replace(take, sheet=replace(take.sheet, strings=take.sheet.strings[:1])), replace(found, strings=found.strings[:1])
        ).headline
    )


@pytest.mark.parametrize("lost", ["displacement", "magnetic_force", "drive_voltage"])
def test_no_verdict_without_the_signals_that_tell(path, lost):
    take, _ = spoilt(path, lambda file: file["signals"].__delitem__(lost))
    assert lost in take.lost
    assert bearable(take).starts is None


@pytest.mark.parametrize("lost", ["sense_voltage", "sense_current", "bridge_force", "capacitor_voltage", "contact_force"])
def test_the_verdict_stands_without_the_others(path, whole, lost):
    take, notices = spoilt(path, lambda file: file["signals"].__delitem__(lost))
    assert lost in take.lost
    assert len(notices) == 2
    assert bearable(take).starts is measure(whole).starts is True
    assert take.status == "complete"


def test_a_signal_of_other_sizes_is_lost(path):
    def swap(file):
        del file["signals/bridge_force"]
        file["signals/bridge_force"] = np.zeros((3, 5))

    assert spoilt(path, swap)[0].lost == ("bridge_force",)


def test_numbers_that_are_none_read_as_nought(path):
    def spoil(file):
        file["signals/bridge_force"][100, 0, 0] = np.nan
        file["signals/bridge_force"][200, 0, 0] = np.inf

    take, notices = spoilt(path, spoil)
    assert take.signals.bridge_force[[100, 200], 0, 0].tolist() == [0.0, 0.0]
    assert "2 numbers of bridge_force are damaged and read as 0." in notices
    bearable(take)


def test_slow_records_lost(path, whole):
    take, notices = spoilt(path, lambda file: file["frames"].__delitem__("residual"))
    assert take.frames.time.tolist() == [0.0]
    assert take.frames.least_gap[0].tolist() == [pole.rest_gap_m for pole in whole.sheet.poles]
    assert np.array_equal(take.signals.bridge_force, whole.signals.bridge_force)
    assert take.duration_s == SECONDS
    assert any("slow records are lost" in notice for notice in notices)
    found = bearable(take)
    assert found.ledger_residual is None
    assert found.near.clearance_mm is None
    assert dict(verdict(take, found).rows)["nearest"].startswith("not known")


def test_shape_lost(path):
    take, notices = spoilt(path, lambda file: file.__delitem__("shape"))
    assert take.shape.displacement.shape[:3] == (0, 2, 2)
    assert any("shape of the strings" in notice for notice in notices)
    bearable(take)


@pytest.mark.parametrize(("part", "said"), [("poles", "heads"), ("loops", "loops"), ("coils", "keep cool")])
def test_parts_of_the_sheet_lost(path, part, said):
    take, notices = spoilt(path, lambda file: file[f"sheet/{part}"].__delitem__("resistance_ohm" if part != "loops" else "gain"))
    assert getattr(take.sheet, part) == ()
    assert any(said in notice for notice in notices)
    bearable(take)


def test_records_of_heads_that_are_lost_go_with_them(path):
    take, _ = spoilt(path, lambda file: file["sheet"].__delitem__("poles"))
    assert take.signals.displacement.shape[1:] == (0, 2)
    assert take.frames.least_gap.shape[1:] == (0,)


def test_attributes_lost(path):
    def strip(file):
        for name in ("scenario", "overrides", "title", "duration_s", "audio_rate_Hz", "seed"):
            del file.attrs[name]

    take, notices = spoilt(path, strip)
    assert take.audio_rate == 48000.0
    assert take.sheet.title == "Untitled"
    assert take.duration_s == SECONDS  # as long as its records
    assert len(notices) == 7
    bearable(take)


def test_strings_lost_and_worked_out_anew(path, whole):
    asked = []

    def rebuild(*text):
        asked.append(text)
        return whole.sheet

    def strip(file):
        del file["sheet/strings"]

    with pytest.raises(FileError, match=r"sheet/strings must be there"):
        spoilt(path, strip)
    take, notices = salvage(path, rebuild)
    assert asked == [(whole.scenario, whole.overrides)]
    assert any("worked out anew" in notice for notice in notices)
    assert differences(take.signals, whole.signals) == []
    bearable(take)


def test_a_scenario_that_cannot_be_built_any_more_makes_no_sheet(path):
    def rebuild(*_):
        raise RigError("strings[0] must be shorter; instead received a long one.")

    with h5py.File(path, "r+") as file:
        del file["sheet/strings"]
    with pytest.raises(FileError, match=r"sheet/strings must be there"):
        salvage(path, rebuild)


def test_no_take_at_all(path, tmp_path):
    for bad in (b"", b"no such thing", path.read_bytes()[:40], path.read_bytes()[:2000]):
        path.write_bytes(bad)
        with pytest.raises(FileError) as problem:
            salvage(path)
        assert re.fullmatch(r".+ must be .+; instead received .+\.", str(problem.value))
    with pytest.raises(FileError, match="no file"):
        salvage(tmp_path / "nothing.h5")


@pytest.mark.parametrize(("name", "value"), [("kind", "somebody's table"), ("format_version", np.int64(99))])
def test_foreign_and_newer_files_are_refused(path, name, value):
    with pytest.raises(FileError, match=name):
        spoilt(path, lambda file: file.attrs.__setitem__(name, value))


def test_saved_again_it_still_says_what_is_lost(path, tmp_path):
    take, _ = cut(path, 0.5)
    save(take, tmp_path / "again.h5")
    again = load(tmp_path / "again.h5")
    assert again.lost == take.lost
    assert differences(again, take) == []


BLOCKS = rb"OHDR|OCHK|FRHP|FHDB|FHIB|BTHD|BTLF|FSHD|GCOL"  # signatures of the HDF5 file format specification


def test_whatever_happens_to_a_file(stored, path):
    """Bytes changed at random among those that say what the rest is: a bearable take or one sentence, never anything else."""
    chance, borne, blocks = random.Random(6), 0, [found.start() for found in re.finditer(BLOCKS, stored)]
    for _ in range(60):
        changed = bytearray(stored)
        for _ in range(chance.randrange(1, 4)):
            changed[min(chance.choice(blocks) + chance.randrange(64), len(changed) - 1)] = chance.randrange(256)
        path.write_bytes(changed)
        try:
            take, _ = salvage(path)
        except FileError:
            continue
        bearable(take)
        borne += 1
    assert borne > 20
