"""What stands on the bench: validated models in SI units, and the one gate that reads them from a scenario."""

from wirebloom.rig.heads import Coupling, Head, Law, MeasuredHead, Place, Point, RoundHead
from wirebloom.rig.loops import Amplifier, Input, Loop, Output, Phase, Snubber
from wirebloom.rig.materials import MATERIALS, Material
from wirebloom.rig.models import Rig, Room
from wirebloom.rig.parts import Coil, Core, Face, Magnet, Plate
from wirebloom.rig.plan import RunPlan, Start
from wirebloom.rig.reader import load, loads
from wirebloom.rig.shipped import shipped_scenarios
from wirebloom.rig.stages import Buffer, Device, Levelling, Link, OpAmp, PowerChip
from wirebloom.rig.strings import Damping, DecayTime, PointDamper, Sideways, String
from wirebloom.rig.supplies import Battery, Ideal, Regulator

__all__ = [
    "MATERIALS",
    "Amplifier",
    "Battery",
    "Buffer",
    "Coil",
    "Core",
    "Coupling",
    "Damping",
    "DecayTime",
    "Device",
    "Face",
    "Head",
    "Ideal",
    "Input",
    "Law",
    "Levelling",
    "Link",
    "Loop",
    "Magnet",
    "Material",
    "MeasuredHead",
    "OpAmp",
    "Output",
    "Phase",
    "Place",
    "Plate",
    "Point",
    "PointDamper",
    "PowerChip",
    "Regulator",
    "Rig",
    "Room",
    "RoundHead",
    "RunPlan",
    "Sideways",
    "Snubber",
    "Start",
    "String",
    "load",
    "loads",
    "shipped_scenarios",
]
