"""The drive's phase portrait: a known phase between current and velocity is read, drawn and turned into power.

Derived: u = a cos ωt moves with the velocity aω cos(ωt + π/2); a current I cos(ωt + π/2 + φ) is ahead of it by φ and feeds
½ K I aω cos φ into the string.
"""

from dataclasses import replace

import numpy as np
import pytest

from driven import CURRENT, DRIVE, SIZE, driven
from synthetic import FACTOR, RESISTANCE, SWING, synthetic_take
from wirebloom.take.outcome import work_rate
from wirebloom.views.approach import approach
from wirebloom.views.electrics import energy_accounts
from wirebloom.views.partials import partial_lines
from wirebloom.views.phasors import drive_pole, phasors, pulling, swing
from wirebloom.views.portrait import portrait


@pytest.mark.parametrize("sign", [1.0, -1.0], ids=["wound as usual", "wound the other way"])
@pytest.mark.parametrize("degrees", [0.0, 30.0, 90.0, 150.0, -60.0, -90.0])
def test_the_phase_that_went_in_comes_out(degrees, sign):
    take = driven(degrees, sign=sign, noise=1e-5)
    (found,) = phasors(take, 0, DRIVE, late=True)
    assert pulling(take, 0, DRIVE) == sign
    assert np.degrees(found.ahead) == pytest.approx(degrees, abs=0.5)
    assert found.feeds == pytest.approx(np.cos(np.radians(degrees)), abs=0.01)
    assert found.current == pytest.approx(CURRENT, rel=1e-3)
    assert found.velocity == pytest.approx(2.0 * np.pi * 196.0 * SIZE, rel=1e-3)


def test_the_power_that_it_tells_of_is_the_one_that_is_measured():
    take = driven(35.0)
    (found,) = phasors(take, 0, DRIVE, late=True)
    fed = 0.5 * FACTOR * found.current * found.velocity * found.feeds
    assert fed == pytest.approx(work_rate(take, [DRIVE]), rel=0.01)


def test_at_a_quarter_of_a_turn_the_figure_leans_to_neither_side():
    """What is drawn: mm/s across, mA up; its mean product is the power, nothing at 90°, and falls from upper left at 180°."""
    whole = 0.5 * 1e3 * CURRENT * 1e3 * 2.0 * np.pi * 196.0 * SIZE
    for degrees, share in ((0.0, 1.0), (90.0, 0.0), (180.0, -1.0)):
        line = portrait(driven(degrees, noise=1e-5)).get_lines()[2]
        assert line.get_label() == "all together"
        mean = float(np.mean(np.asarray(line.get_xdata()) * np.asarray(line.get_ydata())))
        assert mean / whole == pytest.approx(share, abs=0.02)


def test_the_ellipse_lies_on_the_drawn_figure_and_says_how_it_feeds():
    ax = portrait(driven(60.0))
    ellipse = ax.get_lines()[3]
    assert ellipse.get_label() == "partial 1: current 60° ahead, 50 % of it feeds"
    assert np.abs(ellipse.get_ydata()).max() == pytest.approx(1e3 * CURRENT, rel=1e-3)
    # The mark stands where the velocity is greatest: there the current is I cos φ.
    assert ellipse.get_ydata()[0] == pytest.approx(1e3 * CURRENT * 0.5, rel=5e-3)
    assert "brakes" in portrait(driven(120.0)).get_lines()[3].get_label()


def test_the_limit_of_the_current_is_drawn_both_ways():
    heights = {round(float(line.get_ydata()[0]), 6) for line in portrait(driven(0.0)).get_lines() if np.ptp(line.get_ydata()) == 0.0}
    bound = round(1e3 * SWING / RESISTANCE, 6)
    assert {bound, -bound} <= heights


def test_noise_has_no_phase():
    take = driven(0.0)
    noise = np.random.default_rng(7).normal(size=take.signals.drive_current.shape).astype(np.float32)
    assert phasors(replace(take, signals=replace(take.signals, drive_current=noise)), 0, DRIVE, late=True) == []


def test_a_loop_that_is_never_below_half_its_swing_has_no_early_picture():
    loud, soft = driven(0.0), driven(0.0, output=0.2 * SWING)
    assert swing(loud, 0, DRIVE, late=False) is None
    assert "never below half" in portrait(loud, late=False).get_title(loc="left")
    early = swing(soft, 0, DRIVE, late=False)
    assert early is not None
    assert early.until == pytest.approx(2.0)


def test_early_is_before_the_note_reaches_half_the_swing():
    """The synthetic note doubles every ln 2/20 s and is cut at the swing; what is below half of it comes first."""
    take = synthetic_take()
    early = swing(take, 0, DRIVE, late=False)
    volts = np.abs(take.signals.drive_voltage[:, 0] - take.sheet.loops[0].bias_V)
    assert early is not None
    assert early.until == pytest.approx(float((volts > 0.5 * SWING).argmax()) / take.audio_rate, abs=0.02)


def test_overtones_are_told_beside_the_fundamental():
    take = driven(0.0, partial=2)
    assert [one.partial for one in phasors(take, 0, DRIVE, late=True)] == [2]
    assert drive_pole(take, 0) == DRIVE


@pytest.mark.parametrize("draw", [portrait, approach, energy_accounts, partial_lines], ids=lambda draw: draw.__name__)
def test_a_picture_drawn_alone_has_room_for_its_legend(draw):
    """The legend lies on the figure, and neither on its title nor on that of the axis."""
    ax = draw(synthetic_take())
    figure = ax.get_figure()
    figure.canvas.draw()
    legend = ax.get_legend().get_window_extent()
    assert 0.0 <= legend.x0 < legend.x1 <= figure.bbox.x1
    assert 0.0 <= legend.y0 < legend.y1 <= figure.bbox.y1
    for title in (figure.texts[0], ax._left_title):
        assert not legend.overlaps(title.get_window_extent())
