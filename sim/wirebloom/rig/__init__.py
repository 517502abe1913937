"""What stands on the bench: validated models in SI units, and the one gate that reads them from a scenario."""

from wirebloom.rig.heads import Coupling, Head, Law, MeasuredHead, Place, Point, RoundHead
from wirebloom.rig.loops import Amplifier, Loop, Output, Phase
from wirebloom.rig.materials import MATERIALS, Material
from wirebloom.rig.models import Rig, Room
from wirebloom.rig.parts import Coil, Core, Face, Magnet, Plate
from wirebloom.rig.plan import RunPlan, Start
from wirebloom.rig.reader import load, loads
from wirebloom.rig.shipped import shipped_scenarios
from wirebloom.rig.strings import Damping, DecayTime, PointDamper, Sideways, String

__all__ = [
    "MATERIALS",
    "Amplifier",
    "Coil",
    "Core",
    "Coupling",
    "Damping",
    "DecayTime",
    "Face",
    "Head",
    "Law",
    "Loop",
    "Magnet",
    "Material",
    "MeasuredHead",
    "Output",
    "Phase",
    "Place",
    "Plate",
    "Point",
    "PointDamper",
    "Rig",
    "Room",
    "RoundHead",
    "RunPlan",
    "Sideways",
    "Start",
    "String",
    "load",
    "loads",
    "shipped_scenarios",
]
