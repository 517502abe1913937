"""Pictures: what must be in them is read back from the artists, not from pixels."""

import time

import numpy as np
import pytest

from bands import banded
from synthetic import BIAS, GAP, RESISTANCE, SWING, Tone, synthetic_take
from wirebloom.views import figures
from wirebloom.views.electrics import RESIDUAL_LIMIT
from wirebloom.views.figures import FIGURES, write_figures
from wirebloom.views.style import panels

TAKES = {
    "plain": {},
    "touching": {"touch": 0.5, "strings": 2},
    "silent": {"tones": (), "floor": 0.0},
    "sideways": {"tones": (Tone(side=1),)},
    "short": {"duration": 0.02},
    "wall": {"strings": 8, "duration": 0.1},
}


@pytest.fixture(scope="module")
def take():
    return synthetic_take()


def levels(ax):
    """Heights of all horizontal lines in an axis."""
    return {round(float(line.get_ydata()[0]), 6) for line in ax.get_lines() if len(line.get_ydata()) == 2}


@pytest.mark.parametrize("kind", TAKES)
def test_every_take_has_its_pictures(kind, tmp_path):
    paths = write_figures(banded(synthetic_take(**TAKES[kind])), tmp_path)
    assert [path.name for path in paths] == list(FIGURES)
    for path in paths:
        assert path.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")  # PNG signature: ISO/IEC 15948, 5.2 (from memory)


def test_a_take_without_samples_has_none(tmp_path):
    assert write_figures(synthetic_take(duration=0.0), tmp_path) == []


@pytest.mark.parametrize("page", FIGURES)
def test_every_axis_has_a_unit(page):
    figure = FIGURES[page](banded(synthetic_take(strings=2, touch=0.5)))
    for ax in figure.axes:
        names = [name for name in (ax.get_xlabel(), ax.get_ylabel()) if name]
        assert ax.get_ylabel() or ax.get_title(loc="left").startswith("the last periods")  # these share their neighbour's
        for name in names:
            assert name.startswith("dB re ") or ", " in name or name in ("partial (number)", "head (name)"), name


def test_the_face_is_drawn_where_the_string_would_meet_it(take):
    ax = figures.string_motion(take, pole=1)
    assert 0.0 in levels(ax)
    assert ax.get_ylim()[0] < 0.0 < ax.get_ylim()[1]
    band = ax.collections[0].get_datalim(ax.transData)
    reach = 0.4e-3 * take.sheet.poles[1].weight[0]
    # The first tone alone would reach gap ± its amplitude at the pole; the second adds at most its own.
    spare = 0.05e-3 * abs(take.sheet.poles[1].weight[1])
    assert band.y0 == pytest.approx((GAP - reach) * 1e3, abs=spare * 1e3 * 1.05)
    assert band.y1 == pytest.approx((GAP + reach) * 1e3, abs=spare * 1e3 * 1.05)


def test_motion_towards_the_head_is_down_and_the_head_is_below(take):
    low = figures.clearance(take).get_lines()[0].get_ydata().min()
    assert low == pytest.approx(1e3 * take.frames.least_gap[:, 0].min())
    ax = figures.string_shape(take, string=0)
    blocks = [patch for patch in ax.patches if patch.get_width() == pytest.approx(2 * take.sheet.poles[0].face_radius_m)]
    assert [max(block.get_y(), block.get_y() + block.get_height()) for block in blocks] == pytest.approx([-1e3 * GAP] * 2)
    drawn = np.array([line.get_ydata() for line in ax.get_lines()])
    np.testing.assert_allclose(drawn[0], -1e3 * take.shape.displacement[0, 0, 0])
    assert 0.3 < drawn.max() < 0.5


def test_rails_and_reference_current_are_drawn(take):
    volts = figures.drive_voltage(take, late=True)
    assert {BIAS + SWING, BIAS - SWING, 9.0, 0.0} <= levels(volts)
    low, high = volts.get_ylim()
    assert low < 0.0
    assert high > 9.0
    assert {9.0, -9.0} <= levels(figures.drive_voltage(synthetic_take(split=True, duration=0.1)))
    amperes = figures.drive_current(take, late=False)
    bound = round(1e3 * SWING / RESISTANCE, 6)
    assert {bound, -bound} <= levels(amperes)


def test_early_begins_at_zero_and_late_ends_at_zero(take):
    early = figures.drive_voltage(take, late=False).get_lines()[0].get_xdata()
    late = figures.drive_voltage(take, late=True).get_lines()[0].get_xdata()
    assert early[0] == 0.0
    assert late[-1] == 0.0
    assert late[0] == pytest.approx(-4e3 / take.sheet.strings[0].pitch_Hz, abs=0.05)


def test_partials_are_in_decibels_of_the_bridge_force(take):
    ax = figures.partial_lines(take)
    first, second = (next(line for line in ax.get_lines() if line.get_label() == f"partial {n}") for n in (1, 2))
    force = 0.4e-3 * take.sheet.strings[0].bridge_N_per_m[0]
    assert first.get_ydata()[-1] == pytest.approx(20.0 * np.log10(force), abs=1e-6)
    # Eight times the amplitude, half the force per displacement: 20 log10(8/2).
    assert first.get_ydata()[-1] - second.get_ydata()[-1] == pytest.approx(12.0412, abs=1e-3)


def test_up_to_twenty_partials_are_told_apart(take):
    image = figures.partial_map(take).get_images()[0]
    assert image.get_array().shape[0] == min(20, take.sheet.strings[0].bridge_N_per_m.size)
    lines = [line for line in figures.partial_lines(take).get_lines() if line.get_label().startswith("partial")]
    assert len({(line.get_color(), str(line.get_linestyle()), line.get_marker()) for line in lines}) == len(lines) == 6


def test_touches_are_marked_when_they_are(take):
    touched = figures.clearance(synthetic_take(touch=0.5))
    marks = [segment[0][0] for group in touched.collections for segment in getattr(group, "get_segments", list)() if len(segment) == 2]
    assert min(marks) == pytest.approx(0.5, abs=0.0101)
    assert any("0.51 s" in text.get_text() for text in touched.texts)
    assert any("never" in text.get_text() for text in figures.clearance(take).texts)


def test_the_ledgers_limit_is_drawn():
    assert RESIDUAL_LIMIT in levels(figures.ledger_residual(synthetic_take(residual=1e-9)))


def test_a_drawing_goes_where_it_is_told(take):
    drawings = (
        figures.string_motion, figures.clearance, figures.partial_map, figures.energy_accounts, figures.string_shape, figures.approach,
        figures.spectrogram, figures.portrait, figures.partial_rows, figures.bloom, figures.drive_current,
    )  # fmt: skip
    for drawing in drawings:
        _, axes = panels(1, 1, height=2.0)
        assert drawing(take, axes[0, 0]) is axes[0, 0]


def test_more_heads_than_fit_are_said_to_be_left_out():
    figure = FIGURES["motion.png"](synthetic_take(strings=8, duration=0.1))
    assert "6 of 16 heads" in figure.texts[0].get_text()
    assert len(figure.axes) == 12


def test_four_seconds_take_three_at_most(tmp_path):
    """On an otherwise idle slow core; processor time, so that neighbours on the machine do not count."""
    long, spent = synthetic_take(duration=4.0), []
    for _ in range(2):
        began = time.process_time()
        write_figures(long, tmp_path)
        spent.append(time.process_time() - began)
    assert min(spent) < 3.0
