"""Build reference.c with gcc and hand it a model of the twins through ctypes."""

import ctypes
import subprocess
import tempfile
from ctypes import POINTER, Structure, byref, c_double, c_long
from pathlib import Path

import numpy as np

from twins.classic import Classic as Model
from twins.classic import Plain as State
from wirebloom.kernels.layout import Inputs, Record, Rotation

FLAGS = ("-O3", "-march=native", "-ffast-math", "-funroll-loops", "-shared", "-fPIC")
SOURCE = Path(__file__).with_name("reference.c")
Pointer = POINTER(c_double)
STATES = ("q", "v", "flux", "node", "allpass", "output", "capacitor", "contact", "last_gap")
LEDGER = ("work", "supplied", "drive_heat", "sense_heat", "noise_work", "contact_loss")


class CModel(Structure):
    _fields_ = [
        ("partials", c_long),
        ("table_gaps", c_long * 2),
        ("table_offsets", c_long * 2),
        *((name, c_double) for name in ("step", "inverse_mass", "inverse_density", "stretch")),
        *((name, Pointer) for name in ("curvature", "bridge", "weight", "touch_weight", "full", "fine", "half_fine")),
        ("table", Pointer * 2),
        ("grid", c_double * 8),
        ("pole", c_double * 6),
        ("touch", c_double * 16),
        ("inductance", c_double * 3),
        ("resistance", c_double * 2),
        ("elastance", c_double),
        ("amp", c_double * 15),
    ]


class CState(Structure):
    _fields_ = [(name, Pointer) for name in (*STATES, *LEDGER)]


class CRecord(Structure):
    _fields_ = [(name, Pointer) for name in Record._fields]


class Reference:
    """The C time loop for a model of one string, two heads with contact, one loop."""

    def __init__(self, model: Model):
        self.machine = compiled()
        self.kept: list[np.ndarray] = []
        self.model = self.convert(model)

    def convert(self, model: Model) -> CModel:
        strings, poles, tables, contacts, circuits = model.strings, model.poles, model.tables, model.contacts, model.circuits
        shape = [tables.coefficient[t].shape for t in poles.table]
        grids = np.column_stack([tables.gap_start, 1 / tables.gap_step, tables.offset_start, 1 / tables.offset_step])[poles.table]
        touch = np.column_stack([contacts.stiffness, contacts.exponent, contacts.loss, contacts.radius, contacts.recess, contacts.strength])
        inductance = circuits.inductance
        return CModel(
            partials=strings.curvature.shape[1],
            table_gaps=(c_long * 2)(*(s[0] for s in shape)),
            table_offsets=(c_long * 2)(*(s[1] for s in shape)),
            step=model.step,
            inverse_mass=strings.inverse_mass[0],
            inverse_density=strings.inverse_density[0],
            stretch=strings.stretch[0],
            curvature=self.pointer(strings.curvature),
            bridge=self.pointer(strings.bridge),
            weight=self.pointer(poles.weight),
            touch_weight=self.pointer(contacts.weight),
            full=self.pointer(stacked(model.full)),
            fine=self.pointer(stacked(model.fine)),
            half_fine=self.pointer(stacked(model.half_fine)),
            table=(Pointer * 2)(*(self.pointer(tables.coefficient[t]) for t in poles.table)),
            grid=(c_double * 8)(*grids.ravel()),
            pole=(c_double * 6)(*np.column_stack([poles.sign, poles.gap, poles.offset]).ravel()),
            touch=(c_double * 16)(*touch.ravel()),
            inductance=(c_double * 3)(inductance[0, 0], inductance[0, 1], inductance[1, 1]),
            resistance=(c_double * 2)(*circuits.resistance),
            elastance=circuits.elastance[1],
            amp=(c_double * 15)(*(field[0] for field in model.amplifiers)),
        )

    def pointer(self, array: np.ndarray) -> Pointer:
        """Address of an array that is aligned for wide vectors and lives as long as this object."""
        room = np.empty(array.size + 8)
        start = (-room.ctypes.data // 8) % 8
        room[start : start + array.size] = array.ravel()
        self.kept.append(room)
        return room[start:].ctypes.data_as(Pointer)

    def advance(self, state: State, inputs: Inputs, record: Record) -> int:
        """Steps done; state and record are changed in place."""
        c_state = CState(*(getattr(state, name).ctypes.data_as(Pointer) for name in (*STATES, *LEDGER)))
        c_record = CRecord(*(array.ctypes.data_as(Pointer) for array in record))
        supply, noise = (array.ctypes.data_as(Pointer) for array in (inputs.supply, inputs.noise))
        return self.machine.advance(byref(self.model), byref(c_state), supply, noise, byref(c_record), len(inputs.supply))


def stacked(rotation: Rotation) -> np.ndarray:
    """(2, 4, N): qq, qv, vq, vv of each polarisation of the one string."""
    return np.array([field[0] for field in rotation]).transpose(1, 0, 2)


def compiled() -> ctypes.CDLL:
    target = Path(tempfile.mkdtemp(prefix="wirebloom-benchmark-")) / "reference.so"
    subprocess.run(["gcc", *FLAGS, SOURCE, "-o", target, "-lm"], check=True)
    library = ctypes.CDLL(str(target))
    library.advance.restype = c_long
    library.flops_of_a_round.restype = c_long
    library.multiply_add.restype = c_double
    library.multiply_add.argtypes = [c_long]
    library.advance.argtypes = [POINTER(CModel), POINTER(CState), Pointer, Pointer, POINTER(CRecord), c_long]
    return library
