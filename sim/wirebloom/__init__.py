"""A time-domain simulator for string instruments that play themselves by electromagnetism.

``import wirebloom as wb`` has all that a maker needs, in Python or in a notebook; names are loaded when they are first asked for.

>>> import wirebloom as wb
>>> setup = wb.load("first_note", "heads.sense.gap=1.2 mm")
>>> wb.check(setup).verdict
'starts'
>>> take = wb.run(setup, duration="0.2 s", band=False)
>>> round(take.duration_s, 3)
0.2
"""

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wirebloom import errors as errors
    from wirebloom.errors import WirebloomError as WirebloomError
    from wirebloom.take.check import Check as Check
    from wirebloom.take.measures import measure as measure
    from wirebloom.take.take import Take as Take
    from wirebloom.views.animation import animate as animate
    from wirebloom.workbench import audio as audio
    from wirebloom.workbench import plots as plots
    from wirebloom.workbench.comparison import Comparison as Comparison
    from wirebloom.workbench.comparison import compare as compare
    from wirebloom.workbench.files import open as open
    from wirebloom.workbench.files import save as save
    from wirebloom.workbench.looking import check as check
    from wirebloom.workbench.looking import explore as explore
    from wirebloom.workbench.making import run as run
    from wirebloom.workbench.reporting import report as report
    from wirebloom.workbench.setup import Setup as Setup
    from wirebloom.workbench.setup import load as load
    from wirebloom.workbench.setup import scenarios as scenarios

__all__ = [
    "Check", "Comparison", "Setup", "Take", "WirebloomError", "animate", "audio", "check", "compare", "errors", "explore", "load",
    "measure", "open", "plots", "report", "run", "save", "scenarios",
]  # fmt: skip

_MODULES = {"errors": "wirebloom.errors", "audio": "wirebloom.workbench.audio", "plots": "wirebloom.workbench.plots"}
_HOMES = {
    "wirebloom.errors": ("WirebloomError",),
    "wirebloom.take.check": ("Check",),
    "wirebloom.take.measures": ("measure",),
    "wirebloom.take.take": ("Take",),
    "wirebloom.views.animation": ("animate",),
    "wirebloom.workbench.comparison": ("Comparison", "compare"),
    "wirebloom.workbench.files": ("open", "save"),
    "wirebloom.workbench.looking": ("check", "explore"),
    "wirebloom.workbench.making": ("run",),
    "wirebloom.workbench.reporting": ("report",),
    "wirebloom.workbench.setup": ("Setup", "load", "scenarios"),
}
_HOME = {name: home for home, names in _HOMES.items() for name in names}


def __getattr__(name: str) -> object:
    """Load what is asked for, so that the command line need not wait for what it does not use."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = import_module(_MODULES[name]) if name in _MODULES else getattr(import_module(_HOME[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """Tell an editor what there is, loaded or not; rooms are found by their import."""
    return sorted(__all__)


class _Package(ModuleType):
    """This package. Once imported, its room `wirebloom.run` would take the place of the function that is called the same."""

    def __setattr__(self, name: str, value: object) -> None:
        """Let no module become `run`; ``from wirebloom.run import …`` needs no attribute."""
        if name != "run" or not isinstance(value, ModuleType):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package

if "IPython" in sys.modules:
    from wirebloom.workbench.notebook import register

    register()
