"""A new head, stage by stage, and the same from its cache; on one core."""

import tempfile
from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits

from benchmarks.tables import Row, clocked
from heads import WIRE, prototype_head
from wirebloom.physics.fem import solve_head
from wirebloom.physics.field import field_above
from wirebloom.physics.geometry import blocks_of
from wirebloom.physics.head_table import head_table
from wirebloom.physics.nodes import solved_gaps
from wirebloom.physics.reaction import reaction_of
from wirebloom.physics.round_head import wire_material
from wirebloom.physics.sweep import sweep
from wirebloom.physics.wire import WireGrid
from wirebloom.rig.materials import MATERIALS

ROUNDS, LOOKS = 3, 50
STEEL = MATERIALS["music wire"].magnetism
SATURATED = {
    "core": {"diameter": 3e-3, "length": 10e-3, "steel": "mild steel"},
    "magnets": [{"shape": "disc", "diameter": 10e-3, "thickness": 5e-3, "grade": "N42", "direction": "up"}],
    "plates": [{"diameter": 14e-3, "thickness": 1e-3, "top": 15e-3, "steel": "mild steel"}],
}
OFFSETS = np.arange(17) * 2.5e-4


def head_rows() -> list[Row]:
    with threadpool_limits(1), tempfile.TemporaryDirectory(prefix="wirebloom-benchmark-") as folder:
        whole = least(lambda: head_table(prototype_head(), WIRE, STEEL))
        saturated = least(lambda: head_table(prototype_head(**SATURATED), WIRE, STEEL))
        cache = Path(folder)
        head_table(prototype_head(), WIRE, STEEL, cache=cache)
        known = least(lambda: head_table(prototype_head(), WIRE, STEEL, cache=cache), LOOKS)
        stages = stage_seconds()
    return [
        Row("a new head: table of forces over gap and offset", f"{whole:.2f} s", "≤ 5 s"),
        *(Row(f"— {name}", f"{seconds:.2f} s") for name, seconds in stages.items()),
        Row("a new head with a saturated steel core and plate", f"{saturated:.2f} s", "≤ 5 s"),
        Row("the first of these from the cache", f"{known * 1e3:.1f} ms", "≤ 10 ms"),
    ]


def stage_seconds() -> dict[str, float]:
    """Every stage that asks for one of the others is given it."""
    blocks = blocks_of(prototype_head())
    solution, reaction = solve_head(blocks), reaction_of(blocks)
    field, grid, law = field_above(solution), WireGrid(WIRE / 2), wire_material(STEEL)
    return {
        "finite elements of coil and magnets": least(lambda: solve_head(blocks)),
        "the iron's answer, boundary elements": least(lambda: reaction_of(blocks)),
        "field above the face": least(lambda: field_above(solution)),
        "magnetising the wire at every node": least(lambda: sweep((field, reaction), grid, law, solved_gaps(WIRE) + WIRE / 2, OFFSETS)),
    }


def least(work, rounds=ROUNDS) -> float:
    """Seconds of the quickest of some rounds, the first to warm up."""
    return min([clocked(work) for _ in range(rounds + 1)][1:])
