"""What a sheet for one head leaves out, and what can hurt when one builds it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wirebloom.rig import MeasuredHead, RoundHead
from wirebloom.take.head_parts import FieldSheet, HeatSheet
from wirebloom.take.head_study import HeadString

SATURATED = 1.4  # T
ODD_FIELD = 1.5  # times as strong or as weak as computed: far outside any grade
STRONG = 0.2  # T at the face: a magnet that pinches


def head_limits(head: RoundHead | MeasuredHead, strings: Sequence[HeadString], straight_T: float, magnets: float = 1.0) -> tuple[str, ...]:
    """What the figures of a sheet do not contain.

    `straight_T` is the magnets' flux density in iron that is computed without a curve; `magnets` how many times as strong as by their
    data they were measured to be.
    """
    return (*_odd_field(magnets), *_limits(head, strings, straight_T))


def _odd_field(magnets: float) -> Iterator[str]:
    if magnets < 0.0:
        yield "The face field as measured points against what these magnets would make: look at their direction, or at the probe's."
    elif magnets and not 1.0 / ODD_FIELD < magnets < ODD_FIELD:
        yield (
            f"The face field as measured is {magnets:.2g} times what these magnets would make: look at grade, sizes and the height of the "
            "probe, and measure again."
        )


def _limits(head: RoundHead | MeasuredHead, strings: Sequence[HeadString], straight_T: float) -> Iterator[str]:
    if any(string.pull_band_N is not None for string in strings):
        hint = " One measured value narrows them: weigh the pull, or read the coil's voltage under a string of known motion."
        yield (
            "The bands hold what is not known of the steel, the magnets, the winding and, at the gap as set, of that gap."
            f"{'' if any(string.band_note for string in strings) else hint}"
        )
    elif any(string.rest.pull_N > 0.0 for string in strings):
        yield "No band is known for this head: to be safe, pulls up to 1.42 times as strong are looked at for what holds on the face."
    yield "Rest and safe gap are those of a string that hangs still: one that swings needs the room for its swing on top."
    yield "Where the string rests counts all heads over it as the scenario sets them; their stretch of the string is left out."
    if straight_T > SATURATED:
        yield (
            f"The iron carries up to {straight_T:.2g} T of the magnets' flux, at which it saturates: force and pull are less. Name its "
            "steel (core.steel) to have that followed."
        )
    if isinstance(head, RoundHead):
        yield (
            "Heat is that of a head by itself, hanging in still air to seated on wood: a closed case or a second warm coil beside it makes "
            "it warmer, a metal base cooler. The inside of a deep winding is warmer than its surface."
        )


def head_cautions(head: RoundHead | MeasuredHead, heat: HeatSheet | None, field: FieldSheet | None) -> tuple[str, ...]:
    """What can hurt, in plain words."""
    return tuple(_cautions(head, heat, field))


def _cautions(head: RoundHead | MeasuredHead, heat: HeatSheet | None, field: FieldSheet | None) -> Iterator[str]:
    if heat is not None:
        yield (
            f"A coil burns skin and its enamel long before it glows: fuse it below {1e3 * heat.touch_A[0]:.0f} mA where it can be touched, "
            "and do not leave a new build on unattended. Follow local codes, and have mains wiring done by a licensed electrician."
        )
    if getattr(head, "magnets", ()):
        strong = field is not None and abs(float(field.axis_magnet_T[0])) > STRONG
        leap = " These are strong enough to leap together from a distance: wear eye protection." if strong else ""
        yield f"Magnets pinch, shatter and disturb implants and cards: keep them apart from both.{leap}"
    yield "A steel string under tension can whip when it breaks: wear eye protection, and slacken it before a head is set under it."
