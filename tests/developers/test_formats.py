"""The format specification in DEVELOPERS.md against the code that reads and writes the formats."""

import fnmatch
from dataclasses import replace

import h5py
import pytest

from bands import banded
from developers.scenario_keys import HEADINGS, TABLES, keys_of
from developers.scenario_words import LEFT_OUT, MEANINGS
from developers.sections import DEVELOPERS, PRINTED, section
from developers.summary_words import KEYS, SEVERAL
from developers.take_variables import ATTRIBUTES, GROUPS
from supplied import supplied
from synthetic import synthetic_take
from wirebloom.cli import main as command
from wirebloom.errors import WirebloomError
from wirebloom.rig.base import Table
from wirebloom.rig.starter import STARTER
from wirebloom.take.measures import measure
from wirebloom.take.store import save
from wirebloom.take.summary import summary


@pytest.mark.parametrize("name", PRINTED)
def test_printed_sections_are_as_the_code_has_them(name):
    """A range, a default, a unit or a name that changed in the code and not on paper."""
    message = "run: python tests/developers/write.py"
    assert section(DEVELOPERS.read_text(encoding="utf-8"), name) == PRINTED[name](), message


def kinds(of):
    """Models below a model, itself included."""
    return {of}.union(*(kinds(child) for child in of.__subclasses__()))


def test_every_table_of_a_scenario_is_told():
    from wirebloom.rig.heads import Head
    from wirebloom.rig.iron import Iron
    from wirebloom.rig.models import Bench, Rig
    from wirebloom.rig.plan import RunPlan
    from wirebloom.rig.stages import Device
    from wirebloom.rig.supplies import Sagging, Supply

    assert kinds(Table) - {Table, Head, Iron, Device, Supply, Sagging, Bench, Rig, RunPlan} == set(TABLES)


def test_every_key_has_its_words_and_no_words_are_left_over():
    used = {f"{base.__name__}.{key}" for model in TABLES for key in model.model_fields for base in model.__mro__}
    assert set(MEANINGS) <= used
    assert set(LEFT_OUT) <= used
    without = {f"{model.__name__}.{key.name}" for model in TABLES for key in keys_of(model) if not key.meaning}
    assert without == {"Core.diameter", "Coil.turns", "Amplifier.input_offset"}  # say it all themselves


def test_every_table_that_is_told_is_in_the_starter():
    """What `wirebloom new` writes shows every table somehow; three stand there in line."""
    in_line = {"[[heads.over]]", "[heads.law]", "[heads.contact]"}
    for model, title in TABLES.items():
        assert model in HEADINGS or title in in_line or title in STARTER


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    path = tmp_path_factory.mktemp("take") / "take.h5"
    save(replace(supplied(banded(synthetic_take())), lost=("bridge_force",)), path)
    return path


def test_attributes_of_a_take(written):
    with h5py.File(written) as file:
        found = {*file.attrs, *(f"sheet: {name}" for name in file["sheet"].attrs)}
    assert all(any(fnmatch.fnmatch(name, pattern) for pattern in ATTRIBUTES) for name in found)
    assert all(fnmatch.filter(found, pattern) for pattern in ATTRIBUTES)


@pytest.mark.parametrize("group", GROUPS)
def test_variables_of_a_take(written, group):
    """A variable's dimensions and unit as the file has them, not as the code means them."""
    with h5py.File(written) as file:
        for name, variable in GROUPS[group].items():
            dataset = file[group][name]
            assert tuple(dim.label or dim[0].name.rpartition("/")[2] for dim in dataset.dims) == variable.dims
            assert dataset.attrs["units"] == variable.units


def subclasses(of):
    return [of, *(deeper for child in of.__subclasses__() for deeper in subclasses(child))]


def test_exit_codes():
    body = DEVELOPERS.read_text(encoding="utf-8").partition("### Exit codes")[2].partition("\n#")[0]
    told = {int(row.split("|")[1]) for row in body.splitlines() if row.startswith("| ") and row.split("|")[1].strip().isdigit()}
    assert told == {0, command.USAGE, command.INTERRUPTED, *(kind.exit_code for kind in subclasses(WirebloomError))}


def test_keys_of_a_summary():
    alone, both = synthetic_take(), synthetic_take(strings=2)
    assert list(summary(alone, measure(alone))) == list(KEYS)
    assert list(summary(both, measure(both))) == [*KEYS, *SEVERAL]
