"""What a circuit is made of: parts between named nodes. Node "0" is ground.

``home`` says where a part's heat is booked: 2a at the sense side of loop a, 2a + 1 at its drive side.
"""

from __future__ import annotations

from typing import NamedTuple

GROUND = "0"
ENDLESS = float("inf")


class Resistor(NamedTuple):
    """Between nodes a and b, Ω."""

    name: str
    a: str
    b: str
    ohm: float
    home: int


class Capacitor(NamedTuple):
    """Between nodes a and b, F. Its voltage, a against b, is a state."""

    name: str
    a: str
    b: str
    farad: float
    home: int


class Inductor(NamedTuple):
    """Between nodes a and b, H, without iron or string. Its current, from a to b, is a state."""

    name: str
    a: str
    b: str
    henry: float
    home: int


class Coil(NamedTuple):
    """Winding of a circuit's heads, from a to b, without its resistance: that is a Resistor in series. Its flux is the strings' affair."""

    name: str
    a: str
    b: str
    circuit: int


class Source(NamedTuple):
    """Supply that holds node a at so many volts over node b once it is fully up."""

    name: str
    a: str
    b: str
    volts: float
    home: int


class Follower(NamedTuple):
    """Ideal linear buffer: V(a) − V(b) = gain · (V(plus) − V(minus)), without current at its inputs."""

    name: str
    a: str
    b: str
    plus: str
    minus: str
    gain: float
    home: int


class Levelling(NamedTuple):
    """Automatic gain: while the mean size of a stage's output exceeds `volts`, its gain is turned down in proportion.

    attack, release : s
        Time constants of the envelope follower upwards and downwards.
    least : float
        Share of the gain that is always left.
    """

    volts: float
    attack: float
    release: float
    least: float = 1e-3


class Stage(NamedTuple):
    """Amplifying element with limits: v′ = clip(2π·bandwidth·(e − v/gain), ±slew); V(out) = v + V(ref).

    e = V(plus) − V(minus) + offset + noise + rejection · (V(high) − V(low) − supply). V(out) stays ``headroom`` + bend·|current|
    off the rails V(low) and V(high); its current within ± limit. It draws its output current and ``quiescent`` from the rails.

    bandwidth : float
        Product of gain and bandwidth, Hz.
    headroom : (float, float)
        V below the high rail, V above the low one.
    bend : float
        What each ampere given takes off the swing, Ω.
    noise : float
        V/√Hz.
    """

    name: str
    out: str
    plus: str
    minus: str
    ref: str
    high: str
    low: str
    loop: int
    gain: float
    bandwidth: float
    slew: float
    supply: float
    headroom: tuple[float, float] = (0.0, 0.0)
    bend: float = 0.0
    limit: float = ENDLESS
    offset: float = 0.0
    noise: float = 0.0
    rejection: float = 0.0
    quiescent: float = 0.0
    levelling: Levelling | None = None


Part = Resistor | Capacitor | Inductor | Coil | Source | Follower | Stage


class Meter(NamedTuple):
    """What a run records of a loop: V(a) − V(b); several in line add up.

    kind : {"node", "output", "capacitor", "supply"}
        At the amplifier's input, at its output, over the drive circuit's series capacitors, of its supply.
    """

    kind: str
    loop: int
    pairs: tuple[tuple[str, str], ...]


METERS = ("node", "output", "capacitor", "supply")


class Netlist(NamedTuple):
    """All electronics of a rig. Circuits: 2a the sense coils of loop a, 2a + 1 its drive coils."""

    parts: tuple[Part, ...]
    meters: tuple[Meter, ...]
    loops: tuple[str, ...]
