"""Tells a notebook how our things look: a card instead of a dump of arrays. By the names of their classes, so that nothing is loaded."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any

CARDS = {
    ("wirebloom.take.take", "Take"): "take_card",
    ("wirebloom.take.check", "Check"): "check_card",
    ("wirebloom.take.check_map", "PartialMap"): "map_card",
    ("wirebloom.views.clips", "Clip"): "clip_card",
    ("wirebloom.workbench.comparison", "Comparison"): "comparison_card",
    ("wirebloom.workbench.setup", "Setup"): "setup_card",
}
LINES = {
    ("wirebloom.take.take", "Take"): "take_line",
    ("wirebloom.take.check", "Check"): "check_line",
    ("wirebloom.take.check_map", "PartialMap"): "map_line",
    ("wirebloom.views.clips", "Clip"): "clip_line",
    ("wirebloom.workbench.comparison", "Comparison"): "comparison_line",
    ("wirebloom.workbench.setup", "Setup"): "setup_line",
}
AXES = ("matplotlib.axes._axes", "Axes")


def register(shell: Any = None) -> bool:
    """Register with a running IPython; return whether there is one.

    Parameters
    ----------
    shell : InteractiveShell, optional
        The one that runs by default.
    """
    from IPython.core.getipython import get_ipython  # noqa: PLC0415 - only there, where it is loaded already

    shell = shell or get_ipython()
    if shell is None:
        return False
    formatters = shell.display_formatter.formatters
    for (module, name), function in CARDS.items():
        formatters["text/html"].for_type_by_name(module, name, _later("cards", function))
    for (module, name), function in LINES.items():
        formatters["text/plain"].for_type_by_name(module, name, _line(function))
    formatters["text/html"].for_type_by_name(*AXES, _drawn)
    return True


def _later(home: str, function: str) -> Callable[[Any], str]:
    """Return a function that is loaded when something is shown."""

    def shown(thing: Any) -> str:
        made: str = getattr(import_module(f"wirebloom.workbench.{home}"), function)(thing)
        return made

    return shown


def _line(function: str) -> Callable[[Any, Any, bool], None]:
    """Return what IPython wants for plain text: a function that writes onto a printer."""
    line = _later("lines", function)

    def written(thing: Any, printer: Any, cycle: bool) -> None:
        printer.text(line(thing))

    return written


def _drawn(ax: Any) -> str | None:
    """Show an axis of ours; one that pyplot looks after is shown by pyplot."""
    figure = ax.figure
    if getattr(figure.canvas, "manager", None) is not None:
        return None
    return _later("cards", "axes_card")(ax)
