"""Comparisons: overlays share their axes, the table tells takes apart in words and units."""

import numpy as np
import pytest

from synthetic import Tone, synthetic_take
from wirebloom.cli.answer import print_text
from wirebloom.take.measures import measure
from wirebloom.views.comparison import comparison_cells, comparison_table, overlay_clearance, overlay_levels, whole_level, write_buildup


@pytest.fixture(scope="module")
def takes():
    return {"near": synthetic_take(touch=1.0), "far": synthetic_take((Tone(final=0.2e-3),), duration=1.5), "mute": synthetic_take(())}


def test_half_the_amplitude_is_six_decibels_less(takes):
    loud, soft = synthetic_take((Tone(),)), takes["far"]
    assert whole_level(loud)[-1] - whole_level(soft)[-1] == pytest.approx(20.0 * np.log10(2.0), abs=1e-9)


def test_strings_add_by_power():
    both = synthetic_take((Tone(), Tone(string=1)), strings=2)
    force = [0.4e-3 * string.bridge_N_per_m[0] for string in both.sheet.strings]
    assert whole_level(both)[-1] == pytest.approx(10.0 * np.log10(force[0] ** 2 + force[1] ** 2), abs=1e-9)


def test_overlays_span_the_longest_take_and_keep_the_face(takes):
    for ax in (overlay_levels(takes), overlay_clearance(takes)):
        assert ax.get_xlim() == (0.0, 2.0)
        assert {"near", "far", "mute"} <= {line.get_label() for line in ax.get_lines()}
        assert np.isfinite(ax.get_ylim()).all()
    assert overlay_clearance(takes).get_ylim()[0] < 0.0


def test_the_picture_is_written(takes, tmp_path):
    assert write_buildup(takes, tmp_path).read_bytes().startswith(b"\x89PNG")


def test_cells_of_each_take(takes):
    cells = {name: comparison_cells(measure(take)) for name, take in takes.items()}
    assert cells["near"]["outcome"] == "sustained"
    assert cells["near"]["first touch"] == "1 s"
    assert cells["far"]["first touch"] == "–"
    assert cells["mute"]["pitch"] == "–"
    assert cells["far"]["pitch"] == "196.00 Hz"
    assert len({tuple(cell) for cell in cells.values()}) == 1


def test_the_table_fits_a_pipe(takes, capsys, monkeypatch):
    monkeypatch.delenv("COLUMNS", raising=False)
    print_text(comparison_table({name: measure(take) for name, take in takes.items()}))
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert any("near" in line and "far" in line and "mute" in line for line in lines)
