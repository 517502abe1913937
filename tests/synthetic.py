"""A take that nobody ran: known partials, levels, growth, a touch when asked. For tests of what reads takes.

Every string moves as Σ A_n(t) cos(2π f_n t); energies, losses, forces and voltages follow from that by the definitions of
the records, so that the ledger closes and the drive feeds the string exactly what damping takes and growth needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wirebloom.take.sheet import CoilSheet, LoopSheet, PoleSheet, Sheet, StringSheet
from wirebloom.take.take import Frames, Shape, Signals, Take

RATE, AUDIO, FRAME = 96000.0, 48000.0, 0.01
PARTIALS, PADDED, PLACES, PHASES = 12, 16, 51, 9  # the record of a run is padded with partials that no string has
LENGTH, DENSITY, DECAY = 0.64, 8.9e-4, 0.6
POSITIONS = {"sense": 0.4, "drive": 0.286}  # of the length
GAP, FACTOR, PULL, RESISTANCE, COIL = 1e-3, 0.0144, 3e-3, 124.5, 24.0
BIAS, SWING, QUIESCENT = 4.5, 3.0, 0.005


@dataclass(frozen=True)
class Tone:
    """One partial: A(t) = min(final, final·e^(growth (t − full))) · 10^(drift t/20), about a floor of noise."""

    partial: int = 1
    final: float = 0.4e-3  # m
    growth: float = 20.0  # per s; 0: at its final amplitude from the start
    full: float = 0.8  # s at which it is reached
    drift: float = 0.0  # dB/s
    cents: float = 0.0  # off the free partial
    side: int = 0  # polarisation
    string: int = 0

    def amplitude(self, time: np.ndarray) -> np.ndarray:
        """At each time, m."""
        rising = np.exp(np.minimum(0.0, self.growth * (time - self.full)))
        return np.asarray(self.final * rising * 10.0 ** (self.drift * time / 20.0))


def synthetic_take(
    tones: Sequence[Tone] = (Tone(), Tone(partial=2, final=0.05e-3)),
    *,
    duration: float = 2.0,
    strings: int = 1,
    touch: float | None = None,
    gain: float = 1e4,
    floor: float = 0.0,
    residual: float = 0.0,
    split: bool = False,
    status: str = "complete",
) -> Take:
    """Make a take of known content.

    Parameters
    ----------
    tones : sequence of Tone
        What the strings do.
    duration : float
        s.
    strings : int
        Each with its own sense head, drive head and loop; string s is tuned to 196·(1 + s/2) Hz.
    touch : float, optional
        From this time (s), for one frame, the first string lies 0.1 mm inside the first head's face, with 0.5 N.
    gain : float
        The drive is gain times the sense voltage, cut at ±3 V.
    floor : float
        Amplitude that every partial has at least, m.
    residual : float
        Energy missing from the ledger at the end, J; it grows from 0 in proportion to time.
    split : bool
        Split supply instead of a single one.
    status : str
        As in the take.
    """
    sheet = make_sheet(strings, gain, split)
    frames = round(duration / FRAME)
    time = np.arange(frames * round(FRAME * AUDIO)) / AUDIO
    signals = make_signals(sheet, tones, time, touch, gain)
    return Take(
        sheet=sheet,
        scenario='# nobody ran this\nformat = 1\ntitle = "Synthetic"\n',
        overrides=(),
        seed=1,
        status=status,
        duration_s=frames * FRAME,
        rate=RATE,
        audio_rate=AUDIO,
        versions={"wirebloom": "0"},
        signals=signals,
        frames=make_frames(sheet, tones, signals, touch=touch, floor=floor, residual=residual),
        shape=make_shape(sheet, tones, duration),
        wall={"kernel_s": duration / 20.0, "realtime_factor": 20.0 if duration else 0.0},
    )


def make_sheet(strings: int, gain: float, split: bool) -> Sheet:
    """Strings at 196·(1 + s/2) Hz, each with a sense head, a drive head and a loop."""
    names = [f"pier {s + 1}" for s in range(strings)]
    return Sheet(
        title="Synthetic",
        digest="0" * 16,
        strings=tuple(make_string(name, 196.0 * (1.0 + s / 2.0)) for s, name in enumerate(names)),
        poles=tuple(make_pole(role, s, name) for s, name in enumerate(names) for role in POSITIONS),
        loops=tuple(make_loop(s, gain, split) for s in range(strings)),
        limits=("Nobody ran this take: it is made of cosines.",),
        cautions=("A string under tension can snap: protect the eyes.",),
        coils=tuple(make_coil(s) for s in range(strings)),
    )


def make_string(name: str, pitch: float) -> StringSheet:
    """A string whose partials are whole multiples of its pitch."""
    number = np.arange(1, PARTIALS + 1)
    tension = DENSITY * (2.0 * LENGTH * pitch) ** 2
    return StringSheet(
        name=name, material="music wire", length_m=LENGTH, diameter_m=0.38e-3, tension_N=tension, linear_density_kg_m=DENSITY,
        pitch_Hz=pitch, inharmonicity=0.0, frequency_Hz=pitch * np.stack([number, number * 1.0003]),
        decay_per_s=DECAY * np.stack([number, number]) ** 0.5, mass_kg=DENSITY * LENGTH / 2.0,
        bridge_N_per_m=tension * number * np.pi / LENGTH, stress_Pa=tension / (np.pi / 4 * 0.38e-3**2),
        strength_min_Pa=2.3e9, strength_max_Pa=2.6e9, equilibrium="free", rest_m=np.zeros((2, PARTIALS)),
    )  # fmt: skip


def make_pole(role: str, s: int, string: str) -> PoleSheet:
    """A head 1 mm from a string."""
    position = POSITIONS[role] * LENGTH
    return PoleSheet(
        head=f"{role} {s + 1}", string=string, position_m=position, gap_m=GAP, rest_gap_m=GAP, offset_m=0.0, pull_N=PULL,
        force_factor_N_per_A=FACTOR, resistance_ohm=COIL, inductance_H=2.6e-3, face_radius_m=2.5e-3, flange_radius_m=5.6e-3,
        flange_recess_m=0.5e-3, role=role, loop=f"loop {s + 1}", weight=np.sin(np.arange(1, PARTIALS + 1) * np.pi * POSITIONS[role]),
    )  # fmt: skip


def make_loop(s: int, gain: float, split: bool) -> LoopSheet:
    """An amplifier that swings ±3 V."""
    return LoopSheet(
        name=f"loop {s + 1}", sense=(f"sense {s + 1}",), drive=(f"drive {s + 1}",), polarity="normal", gain=gain, supply_V=9.0,
        swing_low_V=-SWING, swing_high_V=SWING, bias_V=0.0 if split else BIAS, drive_resistance_ohm=RESISTANCE,
        coil_resistance_ohm=COIL, quiescent_A=QUIESCENT, mutual_H=0.0,
    )  # fmt: skip


def make_coil(s: int) -> CoilSheet:
    """A coil of 0.3 J/K in a head of 1.8 J/K that gives off 5 to 12 mW/K."""
    return CoilSheet(
        head=f"drive {s + 1}", loop=f"loop {s + 1}", resistance_ohm=COIL, conductance_low_W_per_K=5e-3, conductance_high_W_per_K=12e-3,
        capacity_low_J_per_K=0.3, capacity_high_J_per_K=1.8, room_K=293.15, enamel="class 155", enamel_K=428.15, magnet_K=0.0,
    )  # fmt: skip


def frequency(sheet: Sheet, tone: Tone) -> float:
    """Of a tone, Hz."""
    return float(sheet.strings[tone.string].frequency_Hz[tone.side, tone.partial - 1] * 2.0 ** (tone.cents / 1200.0))


def make_signals(sheet: Sheet, tones: Sequence[Tone], time: np.ndarray, touch: float | None, gain: float) -> Signals:
    """Everything at the audio rate."""
    count, strings = time.size, len(sheet.strings)
    moved, speed = np.zeros((count, 2 * strings, 2)), np.zeros((count, 2 * strings, 2))
    force, bridge, contact = np.zeros_like(moved), np.zeros((count, strings, 2)), np.zeros((count, 2 * strings))
    for tone in tones:
        s, string, omega = tone.string, sheet.strings[tone.string], 2.0 * np.pi * frequency(sheet, tone)
        size, weights = tone.amplitude(time), [pole.weight[tone.partial - 1] for pole in sheet.poles[2 * s : 2 * s + 2]]
        moved[:, 2 * s : 2 * s + 2, tone.side] += np.outer(size * np.cos(omega * time), weights)
        speed[:, 2 * s : 2 * s + 2, tone.side] -= np.outer(size * omega * np.sin(omega * time), weights)
        bridge[:, s, tone.side] += string.bridge_N_per_m[tone.partial - 1] * size * np.cos(omega * time)
    for tone in tones:  # the drive's force is along the velocity and has the power that this tone needs
        s, omega = tone.string, 2.0 * np.pi * frequency(sheet, tone)
        drive = 2 * s + 1
        whole = tone.amplitude(time) * omega * sheet.poles[drive].weight[tone.partial - 1]
        push = np.divide(2.0 * power(sheet, tone, time), whole, out=np.zeros(count), where=np.abs(whole) > 0.0)
        force[:, drive, tone.side] -= push * np.sin(omega * time)
    force[:, :, 0] += PULL
    bridge[:, :, 0] += 0.5 * PULL
    if touch is not None:
        inside = (time >= touch) & (time < touch + FRAME)
        contact[inside, 0] = 0.5
        moved[inside, 0, 0] = GAP + 1e-4
    sense = FACTOR * speed[:, 0::2, 0]
    output = np.clip(gain * sense, -SWING, SWING)
    current = output / RESISTANCE
    bias = np.array([loop.bias_V for loop in sheet.loops])
    slow = {
        "displacement": moved, "magnetic_force": force, "contact_force": contact, "sense_voltage": sense,
        "drive_voltage": bias + output, "capacitor_voltage": np.zeros_like(output) + bias, "supply_voltage": np.full_like(output, 9.0),
        "sense_current": np.zeros_like(sense), "drive_current": current, "bridge_force": bridge,
    }  # fmt: skip
    return Signals(**{name: values.astype(np.float32) for name, values in slow.items()})


def energy(sheet: Sheet, tone: Tone, time: np.ndarray) -> np.ndarray:
    """Stored in a tone, J."""
    omega = 2.0 * np.pi * sheet.strings[tone.string].frequency_Hz[tone.side, tone.partial - 1]
    return 0.5 * sheet.strings[tone.string].mass_kg * (omega * tone.amplitude(time)) ** 2


def power(sheet: Sheet, tone: Tone, time: np.ndarray) -> np.ndarray:
    """What a tone needs: dE/dt + 2σE, W."""
    rate = np.where(time < tone.full, tone.growth, 0.0) + tone.drift * np.log(10.0) / 20.0
    decay = sheet.strings[tone.string].decay_per_s[tone.side, tone.partial - 1]
    return np.asarray(2.0 * (rate + decay) * energy(sheet, tone, time))


def summed(rate: np.ndarray, time: np.ndarray) -> np.ndarray:
    """∫ dt from the first time on."""
    return np.concatenate([np.zeros((1, *rate.shape[1:])), np.cumsum(0.5 * (rate[1:] + rate[:-1]).T * np.diff(time), axis=-1).T])


def make_frames(sheet: Sheet, tones: Sequence[Tone], signals: Signals, *, touch: float | None, floor: float, residual: float) -> Frames:
    """The slow records."""
    per, strings = round(FRAME * AUDIO), len(sheet.strings)
    count = signals.drive_current.shape[0] // per + 1
    time = np.arange(count) * FRAME
    amplitude, stored, loss = np.zeros((count, strings, 2, PADDED)), np.zeros((count, strings)), np.zeros((count, strings))
    amplitude[..., :PARTIALS], work = floor, np.zeros((count, 2 * strings))
    phase = np.zeros(amplitude.shape, dtype=np.float32)
    for tone in tones:
        size, joule = tone.amplitude(time), energy(sheet, tone, time)
        amplitude[:, tone.string, tone.side, tone.partial - 1] = np.hypot(size, floor)
        phase[:, tone.string, tone.side, tone.partial - 1] = np.mod(2.0 * np.pi * frequency(sheet, tone) * time, 2.0 * np.pi)
        lost = summed(2.0 * sheet.strings[tone.string].decay_per_s[tone.side, tone.partial - 1] * joule, time)
        stored[:, tone.string] += joule
        loss[:, tone.string] += lost
        work[:, 2 * tone.string + 1] += joule - joule[0] + lost
    gap = np.full((count, 2 * strings), GAP) - signals.displacement[:1, :, 0].sum(axis=0)
    heat, output, drawn, given = (np.zeros((count, strings)) for _ in range(4))
    if count > 1:
        gap[1:] = GAP - signals.displacement[:, :, 0].reshape(count - 1, per, -1).max(axis=1)
        square = (signals.drive_current.astype(float) ** 2).reshape(count - 1, per, -1).mean(axis=1)
        for charge, sign in ((drawn, 1.0), (given, -1.0)):
            half = np.maximum(sign * signals.drive_current.astype(float), 0.0).reshape(count - 1, per, -1).mean(axis=1)
            charge[1:] = np.cumsum(FRAME * (half + QUIESCENT), axis=0)
        heat[1:] = np.cumsum(RESISTANCE * FRAME * square, axis=0)
        output[1:] = (signals.drive_voltage.astype(float) ** 2).reshape(count - 1, per, -1).mean(axis=1)
    pressed = np.zeros((count, 2 * strings))
    if touch is not None:
        pressed[round(touch / FRAME) + 1, 0] = 0.5
    nothing = np.zeros(count)
    return Frames(
        time=time, amplitude=amplitude, phase=phase, least_gap=gap, most_contact=pressed, output_square=output, drawn_high=drawn,
        drawn_low=given, string_energy=stored, tension_energy=np.zeros_like(stored),
        magnetic_energy=nothing, capacitor_energy=nothing, contact_energy=nothing, supplied=heat + work[:, 1::2], external=nothing,
        noise=np.zeros((count, strings)), string_loss=loss, drive_heat=heat, sense_heat=np.zeros((count, strings)),
        contact_loss=nothing, damper_loss=nothing, drive_work=work, residual=residual * time / max(float(time[-1]), FRAME),
    )  # fmt: skip


def make_shape(sheet: Sheet, tones: Sequence[Tone], end: float) -> Shape:
    """One period of the first string's partial 1 after the end."""
    time = np.linspace(0.0, 1.0 / sheet.strings[0].pitch_Hz, PHASES)
    x = np.linspace(0.0, LENGTH, PLACES)
    shape = np.zeros((PHASES, len(sheet.strings), 2, PLACES))
    for tone in tones:
        swing = np.cos(2.0 * np.pi * frequency(sheet, tone) * (end + time)) * tone.amplitude(np.array([end]))
        shape[:, tone.string, tone.side] += np.outer(swing, np.sin(tone.partial * np.pi * x / LENGTH))
    return Shape(time=time, x=np.tile(x, (len(sheet.strings), 1)), displacement=shape)
