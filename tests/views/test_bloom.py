"""Pictures of the band, read back from the artists."""

import numpy as np
import pytest

from bands import banded, end, lost, string_end
from synthetic import synthetic_take
from wirebloom.views.bloom import bloom, head_bands
from wirebloom.views.figures import write_figures


@pytest.fixture(scope="module")
def take():
    plain = synthetic_take()
    return banded(plain, end(plain, level=1e-9), end(plain, level=10.0))


def curves(ax):
    """Names of the lines that have one."""
    return [line.get_label() for line in ax.get_lines() if not line.get_label().startswith("_")]


def test_the_shade_reaches_from_the_weak_to_the_strong_end(take):
    """1 nN and 10 N are −180 and 20 dB re 1 N; the run itself lies between."""
    ax = bloom(take)
    box = ax.collections[0].get_datalim(ax.transData)
    assert (box.y0, box.y1) == pytest.approx((-180.0, 20.0))
    assert curves(ax) == ["as computed", "weak heads", "strong heads"]
    computed = ax.get_lines()[0].get_ydata()
    assert -180.0 < computed.min() < np.median(computed) < 20.0


def test_an_end_that_left_all_bounds_is_said_and_not_drawn(take):
    ax = bloom(banded(synthetic_take(), strong=lost(take)))
    assert curves(ax) == ["as computed", "weak heads"]
    assert "strong heads" in ax.texts[0].get_text()


def test_bars_of_the_heads_are_in_per_cent(take):
    bars = head_bands(take).patches
    assert [(round(bar.get_x()), round(bar.get_x() + bar.get_width())) for bar in bars] == [(70, 150)] * 2 + [(60, 190)] * 2


def test_a_take_without_a_band_has_no_such_page(tmp_path):
    assert "bloom.png" not in [path.name for path in write_figures(synthetic_take(duration=0.2), tmp_path)]
    with_band = banded(synthetic_take(duration=0.2), strong=end(synthetic_take(duration=0.2), string_end()))
    assert "bloom.png" in [path.name for path in write_figures(with_band, tmp_path)]
