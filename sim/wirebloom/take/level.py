"""What a search for the level that keeps a clearance came to."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Level:
    """A level resistor and the run with it.

    Attributes
    ----------
    kind : str
        "found"; "none needed": the clearance is kept without a resistor; "too near": even the largest does not keep it; "silent":
        the strings do not sound, with or without one; "dies": with a resistor that keeps it they no longer sound.
    exact_ohm : float
        Where the settled level just keeps the clearance.
    ohm : float
        Next preferred value that keeps it over a whole run (E24, IEC 60063).
    clearance_mm : float
        In that run.
    head : str or None
        Where.
    strong_mm : float or None
        The same with all heads at the strong end of what is known of them; None without a band.
    drive_V, drive_A : float
        Output about its bias and current in the drive coils, rms, last second of that run.
    outcome : str or None
        Of the string that comes nearest.
    runs : int
        That it took.
    """

    kind: str
    exact_ohm: float
    ohm: float
    clearance_mm: float
    head: str | None
    strong_mm: float | None
    drive_V: float
    drive_A: float
    outcome: str | None
    runs: int
