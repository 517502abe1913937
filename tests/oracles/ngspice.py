"""Run a deck of ours in ngspice, and read what it found."""

import shutil
import subprocess
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

DATA = "answer.data"


class Answer(NamedTuple):
    """What ngspice found: time (s) or frequency (Hz), and one row a signal."""

    axis: NDArray[np.float64]
    signals: NDArray[np.complex128] | NDArray[np.float64]


def present() -> bool:
    return shutil.which("ngspice") is not None


def transient(deck: str, signals: list[str], folder: Path) -> Answer:
    """The deck's own transient analysis."""
    found = _run(deck, ["run"], signals, folder)
    return Answer(found[0], found[1:])


def response(deck: str, signals: list[str], folder: Path, sweep: str = "ac dec 40 20 20k") -> Answer:
    """Frequency response, by the analysis that the deck has behind a star."""
    found = _run(deck, [sweep], signals, folder)
    return Answer(found[0], found[1::2] + 1j * found[2::2])


def _run(deck: str, commands: list[str], signals: list[str], folder: Path) -> NDArray[np.float64]:
    control = [
        ".control",
        "set wr_singlescale",
        "set numdgt=12",
        *commands,
        f"wrdata {DATA} {' '.join(signals)}",
        "quit 0",
        ".endc",
        ".end",
    ]
    (folder / "deck.cir").write_text(deck.removesuffix(".end\n") + "\n".join(control) + "\n")
    program = shutil.which("ngspice") or "ngspice"
    done = subprocess.run([program, "-b", "deck.cir"], cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    if not (folder / DATA).exists():
        raise RuntimeError(done.stdout[-3000:] + done.stderr[-3000:])
    return np.loadtxt(folder / DATA, unpack=True)
