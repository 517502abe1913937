"""A take made from formulas instead of a run: known partials, levels, growth, drive and touches, for tests of what reads takes.

The strings move as stated sums of partials with closed-form envelopes, everything else follows from that motion: heads see
it through K, the amplifier clips what its sense head gives, the ledger closes. No string, magnet or circuit is simulated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wirebloom.take.sheet import LoopSheet, PoleSheet, Sheet, StringSheet
from wirebloom.take.take import Frames, Shape, Signals, Take

Floats = NDArray[np.float64]

PARTIALS = 6  # of every string; the arrays of the frames are padded to 8, as those of a run are
PADDED = 8
LENGTH, DIAMETER, DENSITY = 0.65, 0.36e-3, 7850.0
MU = DENSITY * np.pi * DIAMETER**2 / 4.0
MASS = MU * LENGTH / 2.0
K = {"sense": 0.014, "drive": 0.012}  # N/A
PLACES = {"sense": 0.40, "drive": 0.286}  # of the length
REST = 15e-6  # static sag of partial 1 towards the heads, m
BIAS, SWING, RESISTANCE, COIL = 4.5, 3.0, 26.5, 24.0
SUPPLY, HEADROOM = 9.0, 1.5
OVERDRIVE = 6.0  # unclipped drive at the largest motion, in units of the swing
TOUCH = 1e-3, 0.05  # length (s) and peak (N) of a touch


@dataclass(frozen=True)
class Tone:
    """One partial of one string.

    Attributes
    ----------
    partial, string, polarisation : int
    force : float
        Amplitude of its bridge force at the end of its growth (or, if it does not saturate, at `start` = 1), N.
    rate : float
        Growth rate while small, 1/s; negative: it dies.
    start : float
        Amplitude at t = 0, as a share of `force`.
    saturates : bool
        Whether growth ends at `force`.
    cents : float
        Its frequency over that of the sheet's partial.
    """

    partial: int = 1
    force: float = 0.1
    rate: float = 8.0
    start: float = 1e-5
    saturates: bool = True
    string: int = 0
    polarisation: int = 0
    cents: float = 0.0

    def envelope(self, time: Floats) -> Floats:
        """Bridge-force amplitude, N: that of a van der Pol oscillator, or a plain exponential."""
        if not self.saturates:
            return np.asarray(self.force * self.start * np.exp(self.rate * time))
        return np.asarray(self.force / np.sqrt(1.0 + (self.start**-2 - 1.0) * np.exp(-2.0 * self.rate * time)))

    def reaches(self, share: float) -> float:
        """When a saturating tone reaches a share of its final amplitude, s."""
        return float(np.log((self.start**-2 - 1.0) / (share**-2 - 1.0)) / (2.0 * self.rate))


NOTE = (Tone(), Tone(partial=2, force=0.02), Tone(partial=3, force=0.005), Tone(force=0.002, polarisation=1))
"""A note that starts: partial 1 wins, two more follow it, and it leans a little sideways."""


def string_sheet(name: str, pitch: float) -> StringSheet:
    """A steel string of 0.36 mm over 0.65 m."""
    number = np.arange(1.0, PARTIALS + 1.0)
    tension = MU * (2.0 * LENGTH * pitch) ** 2
    stiffness = 2e11 * np.pi * DIAMETER**4 / 64.0
    wave = number * np.pi / LENGTH
    inharmonicity = np.pi**2 * stiffness / (tension * LENGTH**2)
    frequency = number * pitch * np.sqrt((1.0 + inharmonicity * number**2) / (1.0 + inharmonicity))
    rest = np.zeros((2, PARTIALS))
    rest[0, 0] = REST
    return StringSheet(
        name=name,
        material="music wire",
        length_m=LENGTH,
        diameter_m=DIAMETER,
        tension_N=tension,
        linear_density_kg_m=MU,
        pitch_Hz=pitch,
        inharmonicity=inharmonicity,
        frequency_Hz=np.stack([frequency, frequency * 2.0 ** (0.5 / 1200.0)]),
        decay_per_s=np.stack([0.3 + 0.05 * number, 0.5 + 0.05 * number]),
        mass_kg=MASS,
        bridge_N_per_m=tension * wave + stiffness * wave**3,
        stress_Pa=tension / (np.pi * DIAMETER**2 / 4.0),
        strength_min_Pa=2.3e9,
        strength_max_Pa=2.6e9,
        equilibrium="free",
        rest_m=rest,
    )


def pole_sheet(role: str, string: StringSheet, loop: str, gap: float) -> PoleSheet:
    """A small round head under a string."""
    share = PLACES[role]
    weight = np.sin(np.arange(1, PARTIALS + 1) * np.pi * share)
    return PoleSheet(
        head=f"{role} {string.name}",
        string=string.name,
        position_m=share * LENGTH,
        gap_m=gap,
        rest_gap_m=gap - float(weight[0]) * REST,
        offset_m=0.0,
        pull_N=0.003,
        force_factor_N_per_A=K[role],
        resistance_ohm=COIL,
        inductance_H=2.6e-3,
        face_radius_m=2.5e-3,
        flange_radius_m=5.6e-3,
        flange_recess_m=0.5e-3,
        role=role,
        loop=loop,
        weight=weight,
    )


def loop_sheet(name: str, string: StringSheet, supply_kind: str) -> LoopSheet:
    """A power amplifier chip with a gain of 200 between two heads."""
    single = supply_kind == "single"
    return LoopSheet(
        name=name,
        sense=(f"sense {string.name}",),
        drive=(f"drive {string.name}",),
        polarity="normal",
        gain=200.0,
        supply_V=SUPPLY if single else SUPPLY / 2.0,
        swing_low_V=-SWING,
        swing_high_V=SWING,
        bias_V=BIAS if single else 0.0,
        drive_resistance_ohm=RESISTANCE,
        coil_resistance_ohm=COIL,
        quiescent_A=0.005,
        mutual_H=-2e-7,
    )


def make_sheet(pitches: Sequence[float], gap: float, supply_kind: str) -> Sheet:
    """Strings of these pitches (Hz), each in a loop of its own."""
    strings = tuple(string_sheet(f"drone {s + 1}", pitch) for s, pitch in enumerate(pitches))
    return Sheet(
        title="First note at the ferry pier",
        digest="0123456789abcdef",
        strings=strings,
        poles=tuple(pole_sheet(role, string, f"loop {s + 1}", gap) for s, string in enumerate(strings) for role in ("sense", "drive")),
        loops=tuple(loop_sheet(f"loop {s + 1}", string, supply_kind) for s, string in enumerate(strings)),
        limits=("Force and voltage per head are known to about -45/+40 % until one measured value corrects them.",),
        cautions=("A steel string under tension can whip when it breaks: wear eye protection.",),
    )


def frequency_of(tone: Tone, sheet: Sheet) -> float:
    """Frequency of a tone, Hz."""
    own = sheet.strings[tone.string].frequency_Hz[tone.polarisation, tone.partial - 1]
    return float(own * 2.0 ** (tone.cents / 1200.0))


class Motion:
    """The stated partials as modal displacements and envelopes."""

    def __init__(self, sheet: Sheet, tones: Sequence[Tone]) -> None:
        self.sheet, self.tones = sheet, tones

    def amplitude(self, time: Floats) -> Floats:
        """Of every mode about its rest (f, S, 2, N padded), m."""
        found = np.zeros((time.size, len(self.sheet.strings), 2, PADDED))
        for tone in self.tones:
            bridge = self.sheet.strings[tone.string].bridge_N_per_m[tone.partial - 1]
            found[:, tone.string, tone.polarisation, tone.partial - 1] += tone.envelope(time) / bridge
        return found

    def modes(self, time: Floats, string: int) -> tuple[Floats, Floats]:
        """Displacement from the straight string and velocity of its modes (t, 2, N), m and m/s."""
        q = np.zeros((time.size, 2, PARTIALS)) + self.sheet.strings[string].rest_m
        v = np.zeros((time.size, 2, PARTIALS))
        for tone in self.tones:
            if tone.string == string:
                turn = 2.0 * np.pi * frequency_of(tone, self.sheet)
                size = tone.envelope(time) / self.sheet.strings[string].bridge_N_per_m[tone.partial - 1]
                q[:, tone.polarisation, tone.partial - 1] += size * np.cos(turn * time + tone.partial)
                v[:, tone.polarisation, tone.partial - 1] -= size * turn * np.sin(turn * time + tone.partial)
        return q, v


def pulses(time: Floats, touches: Sequence[float]) -> Floats:
    """Half sines of contact force that begin at the stated times, N."""
    length, peak = TOUCH
    force = np.zeros(time.size)
    for begin in touches:
        inside = (time >= begin) & (time < begin + length)
        force[inside] = peak * np.sin(np.pi * (time[inside] - begin) / length)
    return force


def make_signals(sheet: Sheet, tones: Sequence[Tone], time: Floats, touches: Sequence[float]) -> Signals:
    """Everything that is recorded at the audio rate."""
    poles, loops, strings = len(sheet.poles), len(sheet.loops), len(sheet.strings)
    motion = Motion(sheet, tones)
    found: dict[str, Floats] = {
        "displacement": np.zeros((time.size, poles, 2)),
        "magnetic_force": np.zeros((time.size, poles, 2)),
        "contact_force": np.zeros((time.size, poles)),
        "bridge_force": np.zeros((time.size, strings, 2)),
    }
    for name in ("sense_voltage", "drive_voltage", "capacitor_voltage", "sense_current", "drive_current"):
        found[name] = np.zeros((time.size, loops))
    for s, string in enumerate(sheet.strings):
        q, v = motion.modes(time, s)
        found["bridge_force"][:, s] = q @ string.bridge_N_per_m
        for j in range(2 * s, 2 * s + 2):
            found["displacement"][:, j] = q @ sheet.poles[j].weight
            found["magnetic_force"][:, j, 0] = sheet.poles[j].pull_N
        _electrics(found, sheet.loops[s], s, v @ sheet.poles[2 * s].weight)
    if poles:
        found["contact_force"][:, -1] = pulses(time, touches)
    return Signals(**{name: values.astype(np.float32) for name, values in found.items()})


def _electrics(found: dict[str, Floats], loop: LoopSheet, a: int, velocity: Floats) -> None:
    """Sense voltage K ż, drive voltage clipped, current through plain resistance; sense current into 10 MΩ."""
    sense = K["sense"] * velocity[:, 0]
    largest = max(float(np.abs(sense).max(initial=0.0)), 1e-12)
    drive = np.clip(sense * OVERDRIVE * SWING / largest, loop.swing_low_V, loop.swing_high_V)
    found["sense_voltage"][:, a] = sense
    found["sense_current"][:, a] = -sense / 10e6
    found["drive_voltage"][:, a] = loop.bias_V + drive
    found["capacitor_voltage"][:, a] = loop.bias_V
    found["drive_current"][:, a] = drive / loop.drive_resistance_ohm
    found["magnetic_force"][:, 2 * a + 1, 0] += K["drive"] * found["drive_current"][:, a]


def summed(rate: Floats, time: Floats) -> Floats:
    """∫ rate dt from the first time on, (f, …)."""
    steps = np.diff(time).reshape(-1, *([1] * (rate.ndim - 1)))
    return np.concatenate([np.zeros((1, *rate.shape[1:])), np.cumsum(0.5 * (rate[1:] + rate[:-1]) * steps, axis=0)])


def make_frames(sheet: Sheet, tones: Sequence[Tone], time: Floats, signals: Signals, audio_rate: float) -> Frames:
    """The slow records: a ledger that closes but for 1e-9 of what is stored."""
    amplitude = Motion(sheet, tones).amplitude(time)
    inside = amplitude[..., :PARTIALS]
    turn = 2.0 * np.pi * np.stack([string.frequency_Hz for string in sheet.strings])
    decay = np.stack([string.decay_per_s for string in sheet.strings])
    energy = 0.5 * MASS * (turn * inside) ** 2
    stored = energy.sum(axis=(2, 3))
    string_loss = summed((2.0 * decay * energy).sum(axis=(2, 3)), time)
    drive_work = np.zeros((time.size, len(sheet.poles)))
    drive_work[:, 1::2] = string_loss + stored - stored[0]
    heat = _heat(sheet, signals, time, audio_rate)
    zero, per_loop = np.zeros(time.size), np.zeros((time.size, len(sheet.loops)))
    least, most = _per_frame(sheet, signals, time, audio_rate)
    return Frames(
        time=time,
        amplitude=amplitude,
        least_gap=least,
        most_contact=most,
        string_energy=stored,
        tension_energy=1e-4 * stored,
        magnetic_energy=zero,
        capacitor_energy=zero + 1e-9,
        contact_energy=zero,
        supplied=heat + drive_work[:, 1::2],
        noise=per_loop + 1e-15 * time[:, None],
        external=zero,
        string_loss=string_loss,
        drive_heat=heat,
        sense_heat=1e-6 * heat,
        contact_loss=zero,
        damper_loss=zero,
        drive_work=drive_work,
        residual=1e-9 * np.maximum.accumulate(stored.sum(axis=1)),
    )


def _heat(sheet: Sheet, signals: Signals, time: Floats, audio_rate: float) -> Floats:
    """∫ R i² dt at the end of every frame (f, A), J."""
    power = signals.drive_current.astype(np.float64) ** 2 * np.array([loop.drive_resistance_ohm for loop in sheet.loops])
    total = np.concatenate([np.zeros((1, power.shape[1])), np.cumsum(power, axis=0) / audio_rate])
    return np.asarray(total[np.rint(time * audio_rate).astype(int)])


def _per_frame(sheet: Sheet, signals: Signals, time: Floats, audio_rate: float) -> tuple[Floats, Floats]:
    """Least gap and most contact within every frame (f, J), m and N; a touch means a gap of −5 µm."""
    edges = np.rint(time * audio_rate).astype(int)
    gap = np.array([pole.gap_m for pole in sheet.poles]) - signals.displacement[:, :, 0].astype(np.float64)
    least, most = np.zeros((2, time.size, len(sheet.poles)))
    least[0] = gap[0]
    for f in range(1, time.size):
        least[f] = gap[edges[f - 1] : edges[f]].min(axis=0)
        most[f] = signals.contact_force[edges[f - 1] : edges[f]].max(axis=0)
    return np.where(most > 0.0, -5e-6, least), most


def make_shape(sheet: Sheet, tones: Sequence[Tone], end: float) -> Shape:
    """The period after the end."""
    x = np.tile(np.linspace(0.0, LENGTH, 41), (len(sheet.strings), 1))
    phases = np.arange(13) / 12.0 / sheet.strings[0].pitch_Hz
    modes = np.sin(np.arange(1, PARTIALS + 1)[:, None] * np.pi * x[0] / LENGTH)
    motion = Motion(sheet, tones)
    pictures = [motion.modes(end + phases, s)[0] @ modes for s in range(len(sheet.strings))]
    return Shape(time=phases, x=x, displacement=np.stack(pictures, axis=1))


def synthetic_take(
    tones: Sequence[Tone] = NOTE,
    *,
    pitches: Sequence[float] = (195.998,),
    duration: float = 3.0,
    audio_rate: float = 48_000.0,
    frame: float = 0.01,
    gap: float = 1.0e-3,
    touches: Sequence[float] = (),
    supply_kind: str = "single",
    status: str = "complete",
) -> Take:
    """Make a take from formulas.

    Parameters
    ----------
    tones : sequence of Tone
        What the strings do.
    pitches : sequence of float
        One string and one loop for each, Hz.
    duration, frame : float
        s; `frame` may not be shorter than a sample.
    gap : float
        At every head, m.
    touches : sequence of float
        When the face of the last head is touched, for 1 ms each, s.
    supply_kind : {"single", "split"}
    """
    sheet = make_sheet(pitches, gap, supply_kind)
    count = round(duration * audio_rate)
    signals = make_signals(sheet, tones, np.arange(count) / audio_rate, touches)
    frames = make_frames(sheet, tones, np.arange(round(duration / frame) + 1) * frame, signals, audio_rate)
    return Take(
        sheet=sheet,
        scenario='format = 1\ntitle = "First note at the ferry pier"\n',
        overrides=("heads.sense.gap=1.0 mm",),
        seed=1,
        status=status,
        duration_s=duration,
        rate=2.0 * audio_rate,
        audio_rate=audio_rate,
        versions={"wirebloom": "0.1.0", "python": "3.11"},
        signals=signals,
        frames=frames,
        shape=make_shape(sheet, tones, duration),
        wall={"kernel_s": duration / 50.0, "realtime_factor": 50.0},
    )


def cut(take: Take, frames: int) -> Take:
    """The take as it would stand after Ctrl-C at so many rows of slow records."""
    end = float(take.frames.time[frames - 1])
    samples = round(end * take.audio_rate)
    return replace(
        take,
        status="interrupted",
        duration_s=end,
        signals=Signals(**{name: values[:samples] for name, values in vars(take.signals).items()}),
        frames=Frames(**{name: values[:frames] for name, values in vars(take.frames).items()}),
    )


def without_loops(take: Take) -> Take:
    """The same strings with no head and no loop: a plucked string in a plain frame."""
    bare = replace(take.sheet, poles=(), loops=())
    lean = {name: values[:, :0] for name, values in vars(take.signals).items() if name != "bridge_force"}
    slow = ("least_gap", "most_contact", "supplied", "noise", "drive_heat", "sense_heat", "drive_work")
    return replace(
        take,
        sheet=bare,
        signals=replace(take.signals, **lean),
        frames=replace(take.frames, **{name: getattr(take.frames, name)[:, :0] for name in slow}),
    )
