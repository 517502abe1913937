"""What stands in the file of a take: every variable with its dimensions, unit and meaning.

The tables of each group are in the order of the fields of the class that they hold.
"""

from __future__ import annotations

from typing import NamedTuple


class Variable(NamedTuple):
    """One variable of a group.

    Attributes
    ----------
    dims : tuple of str
        Its dimensions. Along "partial" a string has only as many values as it has partials; along "sense_head" and
        "drive_head" a loop has only as many as it has heads. The rest is filled with 0 or empty text.
    units : str
        As the CF conventions write it; "1" for numbers without a unit and for words.
    long_name : str
    text : bool
        Words instead of numbers.
    absent : float, str or None
        What stands for it in a file that was written before there was such a variable; None: no file is without it.
    """

    dims: tuple[str, ...]
    units: str
    long_name: str
    text: bool = False
    absent: float | str | None = None


Table = dict[str, Variable]

_FRAME, _LOOPS = ("frame",), ("frame", "loop")
_FRAME_STRINGS, _FRAME_POLES = ("frame", "string"), ("frame", "pole")
_FRAME_PARTIALS = ("frame", "string", "polarisation", "partial")
_POLE_PATH, _STRING_PATH, _LOOP_PATH = ("time", "pole", "polarisation"), ("time", "string", "polarisation"), ("time", "loop")

SIGNALS: Table = {
    "displacement": Variable(_POLE_PATH, "m", "string at the head, towards it and sideways, from the straight string"),
    "magnetic_force": Variable(_POLE_PATH, "N", "magnetic force of the head on the string"),
    "contact_force": Variable(("time", "pole"), "N", "force of the head's face on the string"),
    "sense_voltage": Variable(_LOOP_PATH, "V", "voltage at the amplifier's input"),
    "drive_voltage": Variable(_LOOP_PATH, "V", "voltage at the amplifier's output, bias included"),
    "capacitor_voltage": Variable(_LOOP_PATH, "V", "voltage over the series capacitor of the drive circuit"),
    "supply_voltage": Variable(_LOOP_PATH, "V", "voltage of the amplifier's supply, or of its upper half if it is split", absent=0.0),
    "sense_current": Variable(_LOOP_PATH, "A", "current in the sensing coils"),
    "drive_current": Variable(_LOOP_PATH, "A", "current in the driving coils"),
    "bridge_force": Variable(_STRING_PATH, "N", "force of the string on the bridge"),
}

FRAMES: Table = {
    "time": Variable(_FRAME, "s", "time at the end of the frame"),
    "amplitude": Variable(_FRAME_PARTIALS, "m", "amplitude of the partial about its rest"),
    "phase": Variable(_FRAME_PARTIALS, "rad", "angle of the partial at the end of the frame, 0 to 2 pi; -1: not recorded", absent=-1.0),
    "least_gap": Variable(_FRAME_POLES, "m", "least gap between string and head within the frame"),
    "most_contact": Variable(_FRAME_POLES, "N", "greatest contact force within the frame"),
    "string_energy": Variable(_FRAME_STRINGS, "J", "energy stored in the partials"),
    "tension_energy": Variable(_FRAME_STRINGS, "J", "energy stored in the stretching of the string"),
    "magnetic_energy": Variable(_FRAME, "J", "energy stored in magnetic fields, from that of the start"),
    "capacitor_energy": Variable(_FRAME, "J", "energy stored in capacitors"),
    "contact_energy": Variable(_FRAME, "J", "energy stored in contacts"),
    "supplied": Variable(_LOOPS, "J", "work of the amplifier since the start"),
    "noise": Variable(_LOOPS, "J", "work of the sensing coils' thermal noise and of the mains' field in all coils since the start"),
    "external": Variable(_FRAME, "J", "work of outside forces since the start"),
    "string_loss": Variable(_FRAME_STRINGS, "J", "energy lost in the string since the start"),
    "drive_heat": Variable(_LOOPS, "J", "heat in the drive circuit since the start"),
    "sense_heat": Variable(_LOOPS, "J", "heat in the sense circuit since the start"),
    "contact_loss": Variable(_FRAME, "J", "energy lost in contacts since the start"),
    "damper_loss": Variable(_FRAME, "J", "energy lost in dampers since the start"),
    "drive_work": Variable(_FRAME_POLES, "J", "work of the head's magnetic force on the string since the start"),
    "residual": Variable(_FRAME, "J", "energy stored, less put in, plus lost: 0 for a perfect integration"),
    "drawn_high": Variable(_LOOPS, "C", "charge that the amplifier drew from its high rail since the start", absent=0.0),
    "drawn_low": Variable(_LOOPS, "C", "charge that it gave into its low rail since the start", absent=0.0),
    "output_square": Variable(_LOOPS, "V2", "mean square of the amplifier's output within the frame, bias included", absent=0.0),
}

SHAPE: Table = {
    "time": Variable(("phase",), "s", "time from the end of the run"),
    "place": Variable(("string", "x"), "m", "distance from the bridge end along the string"),
    "displacement": Variable(("phase", "string", "polarisation", "x"), "m", "shape of the string, towards the heads and sideways"),
}

_STRING, _MODES = ("string",), ("string", "polarisation", "partial")

STRINGS: Table = {
    "name": Variable(_STRING, "1", "name of the string", text=True),
    "material": Variable(_STRING, "1", "material of the string", text=True),
    "length_m": Variable(_STRING, "m", "speaking length"),
    "diameter_m": Variable(_STRING, "m", "diameter"),
    "tension_N": Variable(_STRING, "N", "tension at the temperature of the room"),
    "linear_density_kg_m": Variable(_STRING, "kg/m", "mass per length"),
    "pitch_Hz": Variable(_STRING, "Hz", "pitch the string is tuned to: of partial 1 without magnets, at the tuning temperature"),
    "inharmonicity": Variable(_STRING, "1", "inharmonicity coefficient"),
    "frequency_Hz": Variable(_MODES, "Hz", "frequency of the partial"),
    "decay_per_s": Variable(_MODES, "1/s", "decay rate of the partial"),
    "mass_kg": Variable(_STRING, "kg", "modal mass"),
    "bridge_N_per_m": Variable(("string", "partial"), "N/m", "bridge force per modal displacement"),
    "stress_Pa": Variable(_STRING, "Pa", "tensile stress at pitch"),
    "strength_min_Pa": Variable(_STRING, "Pa", "least tensile strength of such a wire"),
    "strength_max_Pa": Variable(_STRING, "Pa", "greatest tensile strength of such a wire"),
    "equilibrium": Variable(_STRING, "1", "kind of static equilibrium over the heads", text=True),
    "rest_m": Variable(_MODES, "m", "modal displacement at static equilibrium"),
}

_POLE = ("pole",)

POLES: Table = {
    "head": Variable(_POLE, "1", "name of the head", text=True),
    "string": Variable(_POLE, "1", "name of the string", text=True),
    "position_m": Variable(_POLE, "m", "distance from the bridge end"),
    "gap_m": Variable(_POLE, "m", "gap with the string straight"),
    "rest_gap_m": Variable(_POLE, "m", "gap at static equilibrium"),
    "offset_m": Variable(_POLE, "m", "sideways offset of the string from the head's axis"),
    "pull_N": Variable(_POLE, "N", "static pull at the rest gap"),
    "force_factor_N_per_A": Variable(_POLE, "N/A", "force per current at the rest gap"),
    "resistance_ohm": Variable(_POLE, "ohm", "resistance of the head's coil"),
    "inductance_H": Variable(_POLE, "H", "inductance of the head's coil"),
    "face_radius_m": Variable(_POLE, "m", "radius of the face"),
    "flange_radius_m": Variable(_POLE, "m", "radius of the flange"),
    "flange_recess_m": Variable(_POLE, "m", "depth of the flange below the face"),
    "role": Variable(_POLE, "1", "sense, drive or idle", text=True),
    "loop": Variable(_POLE, "1", "name of the head's loop", text=True),
    "weight": Variable(("pole", "partial"), "1", "shape weight of the partial at the head"),
    "factor_low": Variable(_POLE, "1", "weak end of the band of the force factor, over its value", absent=1.0),
    "factor_high": Variable(_POLE, "1", "strong end of the band of the force factor, over its value", absent=1.0),
    "pull_low": Variable(_POLE, "1", "weak end of the band of the pull, over its value", absent=1.0),
    "pull_high": Variable(_POLE, "1", "strong end of the band of the pull, over its value", absent=1.0),
    "band_note": Variable(_POLE, "1", "how a measured value narrowed the band", text=True, absent=""),
}

_LOOP = ("loop",)

LOOPS: Table = {
    "name": Variable(_LOOP, "1", "name of the loop", text=True),
    "sense": Variable(("loop", "sense_head"), "1", "names of the sensing heads in series", text=True),
    "drive": Variable(("loop", "drive_head"), "1", "names of the driving heads in series", text=True),
    "polarity": Variable(_LOOP, "1", "polarity of the amplifier", text=True),
    "gain": Variable(_LOOP, "1", "voltage gain of the amplifier"),
    "supply_V": Variable(_LOOP, "V", "supply of the amplifier"),
    "swing_low_V": Variable(_LOOP, "V", "lower end of the output swing"),
    "swing_high_V": Variable(_LOOP, "V", "upper end of the output swing"),
    "bias_V": Variable(_LOOP, "V", "output voltage at rest"),
    "drive_resistance_ohm": Variable(_LOOP, "ohm", "resistance of the whole drive circuit"),
    "coil_resistance_ohm": Variable(_LOOP, "ohm", "resistance of the driving coils"),
    "quiescent_A": Variable(_LOOP, "A", "quiescent current of the amplifier"),
    "mutual_H": Variable(_LOOP, "H", "mutual inductance of sense and drive circuit"),
    "hum_Hz": Variable(_LOOP, "Hz", "frequency of the mains' field at the heads; 0: none", absent=0.0),
    "idle_noise_V": Variable(_LOOP, "V", "noise at the output beside silent strings, 20 Hz to 20 kHz, rms; 0: not worked out", absent=0.0),
    "idle_hum_V": Variable(_LOOP, "V", "hum at the output beside silent strings, rms, as if nothing clipped", absent=0.0),
    "idle_A": Variable(_LOOP, "A", "noise and hum in the drive coils beside silent strings, rms", absent=0.0),
    "gain_left": Variable(_LOOP, "1", "share of the gain that noise, hum and offset leave to a small signal", absent=1.0),
    "squeal_growth_per_s": Variable(_LOOP, "1/s", "growth of the electronics with the strings held; negative: they keep still", absent=0.0),
    "squeal_factor": Variable(_LOOP, "1", "times its crosstalk at which the loop squeals without its strings; -1: none", absent=-1.0),
    "squeal_factor_Hz": Variable(_LOOP, "Hz", "frequency of that; 0: it flips to a limit, or none", absent=0.0),
    "squeal_turned": Variable(_LOOP, "1", "the same factor with the sign of the crosstalk turned; -1: none", absent=-1.0),
    "squeal_gain": Variable(_LOOP, "1", "gain of a plain amplifier at which it squeals; -1: none", absent=-1.0),
    "squeal_distance_m": Variable(_LOOP, "m", "distance of sense and drive head at which it squeals; -1: none", absent=-1.0),
}

_SUPPLY = ("supply",)

SUPPLIES: Table = {
    "name": Variable(_SUPPLY, "1", "name of the supply", text=True),
    "kind": Variable(_SUPPLY, "1", "battery, regulator or ideal", text=True),
    "made_of": Variable(_SUPPLY, "1", "what it is made of, in words", text=True),
    "loops": Variable(("supply", "fed_loop"), "1", "names of the loops that it feeds", text=True),
    "halves": Variable(_SUPPLY, "1", "1, or 2 for a split supply: what follows speaks of one half"),
    "open_V": Variable(_SUPPLY, "V", "voltage without load"),
    "resistance_ohm": Variable(_SUPPLY, "ohm", "resistance behind which it gives way"),
    "battery_V": Variable(_SUPPLY, "V", "voltage of the battery behind it without load; 0: no battery"),
    "battery_ohm": Variable(_SUPPLY, "ohm", "internal resistance of that battery"),
    "empty_V": Variable(_SUPPLY, "V", "voltage of that battery without load once it is empty"),
    "needed_V": Variable(_SUPPLY, "V", "least voltage of that battery under load that is of use"),
    "charge_C": Variable(_SUPPLY, "C", "charge that is left in that battery"),
    "rated_A": Variable(_SUPPLY, "A", "current at which its charge counts"),
    "peukert": Variable(_SUPPLY, "1", "exponent of its discharge time over the current"),
}

_COIL = ("coil",)

COILS: Table = {
    "head": Variable(_COIL, "1", "name of the driving head", text=True),
    "loop": Variable(_COIL, "1", "name of its loop", text=True),
    "resistance_ohm": Variable(_COIL, "ohm", "resistance of its coil at 20 degrees Celsius"),
    "conductance_low_W_per_K": Variable(_COIL, "W/K", "heat given off with little cooling"),
    "conductance_high_W_per_K": Variable(_COIL, "W/K", "heat given off with good cooling"),
    "capacity_low_J_per_K": Variable(_COIL, "J/K", "heat held by the copper alone"),
    "capacity_high_J_per_K": Variable(_COIL, "J/K", "heat held by the whole head"),
    "room_K": Variable(_COIL, "K", "temperature of the room"),
    "enamel": Variable(_COIL, "1", "thermal class of the wire", text=True),
    "enamel_K": Variable(_COIL, "K", "temperature that the enamel bears for good"),
    "magnet_K": Variable(_COIL, "K", "temperature that the head's magnets bear in service; 0: there are none, -1: none of a known grade"),
}

_END, _ENDS = ("end",), ("end", "string")

BAND: Table = {
    "status": Variable(_END, "1", "complete, or diverged where the run at this end left all bounds", text=True),
    "equilibrium": Variable(_ENDS, "1", "kind of static equilibrium over the heads", text=True),
    "outcome": Variable(_ENDS, "1", "sustained, growing, dying, carried or squeals; empty for a run too short to tell", text=True),
    "start_time_s": Variable(_ENDS, "s", "time to 90 % of the final amplitude; -1: none"),
    "growth_rate_per_s": Variable(_ENDS, "1/s", "growth rate of the dominant partial; 0: none could be read"),
    "dominant_partial": Variable(_ENDS, "1", "loudest partial at the bridge; 0: none"),
    "pitch_Hz": Variable(_ENDS, "Hz", "pitch of the dominant partial; 0: none"),
    "bridge_force_N": Variable(_ENDS, "N", "amplitude of the bridge force over the last half second"),
    "clearance_mm": Variable(_ENDS, "mm", "least gap in motion, 0 once a face is met; -1: no head"),
    "head": Variable(_ENDS, "1", "head at which it is reached", text=True),
    "first_touch_s": Variable(_ENDS, "s", "time of the first contact; -1: none"),
    "buzz": Variable(_ENDS, "1", "none, early, occasional, steady or resting", text=True),
    "level_N": Variable(("frame", "end", "string"), "N", "amplitude of the bridge force, all partials by power"),
}

PARTIALS = "partials"  # beside the fields of strings and poles: how many values along "partial" are theirs


def with_partials(table: Table, row: str) -> Table:
    """Return the table with the number of partials of every row."""
    return table | {PARTIALS: Variable((row,), "1", "number of partials; what lies beyond is filled with 0")}
