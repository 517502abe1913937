"""Tables on disk: the same bits back, soon; anything doubtful is computed again."""

import subprocess
import sys
import time

import numpy as np
import pytest

from heads import WIRE, prototype_head, steel
from wirebloom.physics import cache
from wirebloom.physics.cache import CODE
from wirebloom.physics.head_table import head_table


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cache")
    return folder, head_table(prototype_head(), WIRE, steel(), cache=folder)


def files(folder):
    return sorted((folder / "heads").iterdir())


def same(a, b):
    return all(np.array_equal(x, y) for x, y in zip(vars(a).values(), vars(b).values(), strict=True))


def test_same_bits_and_quick(shelf):
    folder, table = shelf
    taken = []
    for _ in range(10):
        start = time.process_time()
        again = head_table(prototype_head(), WIRE, steel(), cache=folder)
        taken.append(time.process_time() - start)
    assert same(table, again)
    assert min(taken) < 0.010
    assert [path.suffix for path in files(folder)] == [".npz"]


def test_name_and_place_do_not_matter_but_geometry_does(shelf, monkeypatch):
    folder, _ = shelf
    elsewhere = prototype_head().model_copy(update={"name": "other", "position": 0.2, "gap": 2e-3, "reversed": True})
    head_table(elsewhere, WIRE, steel(), cache=folder)
    assert len(files(folder)) == 1
    changes = [
        (prototype_head(magnets=[]), WIRE, steel(), 0.0),
        (prototype_head(), 0.37e-3, steel(), 0.0),
        (prototype_head(), WIRE, steel(saturation=1.6e6), 0.0),
        (prototype_head(), WIRE, steel(reversible=70.0), 0.0),
        (prototype_head(measured={"face_field": 0.03}), WIRE, steel(), 0.0),
        (prototype_head(), WIRE, steel(), 0.1e-3),
    ]
    wanted = []
    monkeypatch.setattr("wirebloom.physics.head_table.remember", lambda folder, key, compute: wanted.append(key) or {})
    for head, wire, alloy, offset in changes:
        with pytest.raises(TypeError):  # nothing was computed
            head_table(head, wire, alloy, offset, folder)
    assert len(set(wanted)) == len(changes)


@pytest.mark.parametrize(
    "damage",
    [
        lambda path: path.write_bytes(path.read_bytes()[:1000]),
        lambda path: path.write_bytes(b""),
        lambda path: path.write_bytes(b"not a table at all"),
        lambda path: np.savez(path, version=np.int64(99), digest=np.str_("x")),
        lambda path: np.savez(path, other=np.zeros(3)),
        lambda path: np.savez(path, version=np.int64(1), digest=np.array({}, dtype=object)),
    ],
)
def test_a_damaged_file_is_computed_again(tmp_path, damage):
    key = cache.digest({"a": 1})
    arrays = {"x": np.arange(1000.0)}
    cache.remember(tmp_path, key, lambda: arrays)
    (path,) = tmp_path.iterdir()
    damage(path)
    fresh = {"x": np.arange(1000.0) + 1}
    assert cache.remember(tmp_path, key, lambda: fresh)["x"][0] == 1.0
    assert cache.remember(tmp_path, key, dict)["x"][0] == 1.0  # and was put right


def test_flipped_bits_inside_are_noticed(tmp_path):
    key = cache.digest({"a": 1})
    cache.remember(tmp_path, key, lambda: {"x": np.arange(1000.0)})
    (path,) = tmp_path.iterdir()
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 0xFF
    path.write_bytes(content)
    assert cache.remember(tmp_path, key, lambda: {"x": np.zeros(1)})["x"].size == 1


def test_a_folder_that_cannot_be_written_costs_only_time(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    assert cache.remember(blocked / "heads", "k" * 64, lambda: {"x": np.ones(1)})["x"][0] == 1.0


def test_another_code_is_another_key(monkeypatch):
    before = cache.digest({"a": 1})
    monkeypatch.setattr(cache, "_code_digest", lambda: "changed")
    assert cache.digest({"a": 1}) != before


def test_all_code_that_makes_a_table_is_in_its_digest():
    """A module that is forgotten there would let old tables answer for new code."""
    listing = "import sys, wirebloom.physics.round_head\nprint(*(m for m in sys.modules if m.startswith('wirebloom.physics.')))"
    found = subprocess.run([sys.executable, "-c", listing], capture_output=True, text=True, check=True).stdout.split()
    assert {name.rpartition(".")[2] for name in found} - {"cache"} == set(CODE)
