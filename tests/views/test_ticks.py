"""Light ticks: the picture is the same, the figure is afterwards as it was."""

from io import BytesIO

import matplotlib.pyplot as plt
import numpy as np
import pytest

from wirebloom.views.style import dress, panels, share_x
from wirebloom.views.ticks import light_ticks


def pixels(figure):
    """Grey values."""
    from PIL import Image

    file = BytesIO()
    figure.savefig(file, format="png", facecolor="white")
    return np.asarray(Image.open(file).convert("L"), dtype=int)


def drawn():
    """Two rows, one of them logarithmic, with shared numbers along x."""
    figure, axes = panels(2, 2, height=1.2)
    for ax in axes.flat:
        ax.plot([0.0, 3.3], [0.02, 7.7])
        dress(ax, x="time, s", y="level, mm")
    axes[0, 1].set_yscale("log")
    axes[1, 0].set(xticks=[0.0, 1.5, 9.0], yticks=[])
    axes[0, 0].set_xlim(3.0, -1.0)
    share_x(axes)
    return figure


def test_the_picture_is_the_same_to_a_shade():
    plain = pixels(drawn())
    figure = drawn()
    with light_ticks(figure):
        light = pixels(figure)
    assert np.abs(plain - light).max() < 40
    assert np.abs(plain - light).mean() < 0.01


def test_afterwards_the_figure_is_as_it_was():
    figure = drawn()
    before = [(list(ax.get_xticks()), list(ax.get_yticks()), len(ax.get_children())) for ax in figure.axes]
    first = pixels(figure)
    with light_ticks(figure):
        assert [len(ax.get_xticks()) for ax in figure.axes] == [0, 0, 0, 0]
    assert [(list(ax.get_xticks()), list(ax.get_yticks()), len(ax.get_children())) for ax in figure.axes] == before
    np.testing.assert_array_equal(pixels(figure), first)


def test_it_is_as_it_was_after_an_error_too():
    figure = drawn()
    before = list(figure.axes[0].get_xticks())

    def fail():
        with light_ticks(figure):
            raise RuntimeError("paper jam")

    with pytest.raises(RuntimeError, match="paper jam"):
        fail()
    assert list(figure.axes[0].get_xticks()) == before


@pytest.mark.parametrize("kind", ["polar", "above", "right", "turned", "minor", "factor", "off"])
def test_axes_of_another_kind_keep_their_ticks(kind):
    """Numbers above, at the right, turned, with a common factor: what light ticks cannot draw, they leave alone."""
    figure, ax = plt.subplots(subplot_kw={"projection": "polar"} if kind == "polar" else {})
    ax.plot([0.0, 1.0], [0.0, 1.0])
    if kind == "above":
        ax.xaxis.tick_top()
    elif kind == "right":
        ax.yaxis.tick_right()
    elif kind == "turned":
        ax.tick_params(labelrotation=45)
    elif kind == "minor":
        ax.minorticks_on()
    elif kind == "factor":
        ax.set(xlim=(0.0, 1e-9), ylim=(1e9, 1e9 + 1))
    elif kind == "off":
        ax.set_axis_off()
    before = len(ax.get_children()), list(ax.get_xticks()), list(ax.get_yticks())
    with light_ticks(figure):
        kept = list(ax.get_xticks()) == before[1], list(ax.get_yticks()) == before[2]
    assert (any if kind in ("above", "right") else all)(kept)
    plt.close(figure)
