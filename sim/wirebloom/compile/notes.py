"""The model's limits that matter for a rig, and the cautions that go with building it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wirebloom.compile.doubts import doubts, possible_pull
from wirebloom.compile.poles import Pole
from wirebloom.compile.supplies import supply_cautions, supply_limits
from wirebloom.physics.shapes import gravity_sag
from wirebloom.physics.strength import spring_wire_minimum
from wirebloom.rig import Rig
from wirebloom.rig.statics import load_diameter
from wirebloom.take.sheet import StringSheet

CLOSE_GAP = 0.7e-3  # m: below it, law in i² is 8 % off (compared with tables in the current)
STRONG_SHARE = 0.7  # of the strength: common practice, no source
SAG_SHARE = 0.05  # of the narrowest gap: a sag below it hides in the setting of the gap
CARBON_STEEL = ("music wire", "wound steel")  # for which plain spring wire may be sold instead


def limits(rig: Rig, poles: Sequence[Pole], strings: Sequence[StringSheet], margins: Sequence[float]) -> tuple[str, ...]:
    """What the model leaves out and which way it errs, for this rig; margins are those of every string at rest (see Rest)."""
    return tuple(dict.fromkeys([*_limits(rig, poles, strings), *_barely_clear(poles, strings, margins)]))


def _limits(rig: Rig, poles: Sequence[Pole], strings: Sequence[StringSheet]) -> Iterator[str]:
    yield from doubts(poles, strings)
    if any(pole.place.gap < CLOSE_GAP for pole in poles):
        yield "Below 0.7 mm the drive force departs from the law used here by up to 8 % at full current."
    if any(string.equilibrium == "bistable" for string in strings):
        yield "A string can stick to a face once it gets there; whether it lets go is not certain from this model."
    if any(string.equilibrium == "latched" for string in strings):
        yield "While a string lies on a face its contact drifts in the computation: rely on the verdict that it sticks, not on its motion."
    yield from _sagging(poles, strings)
    if len(rig.strings) > 1:
        yield "Strings meet only through heads and loops: the frame they hang on is taken as rigid."
    if rig.loops:
        yield "Not predicted: oscillation of the amplifier chip itself from its layout or a missing output network, and ground loops."
    yield from supply_limits(rig)
    yield "Touches are certain to within 1 % of amplitude; how often and how loud it buzzes is not (factor 3)."


def _barely_clear(poles: Sequence[Pole], strings: Sequence[StringSheet], margins: Sequence[float]) -> Iterator[str]:
    for s, (string, margin) in enumerate(zip(strings, margins, strict=True)):
        if string.equilibrium != "latched" and margin < possible_pull([pole for pole in poles if pole.string == s]):
            yield f"{string.name} hangs clear only up to {margin:.2f} times the pull computed here: the true pull may be more. Weigh it."


def _sagging(poles: Sequence[Pole], strings: Sequence[StringSheet]) -> Iterator[str]:
    for s, string in enumerate(strings):
        sag = gravity_sag(string.pitch_Hz)
        if sag > SAG_SHARE * min((pole.place.gap for pole in poles if pole.string == s), default=float("inf")):
            yield f"Gravity is left out: hung level, {string.name} sags by {1e3 * sag:.2f} mm in its middle; set its gaps as it hangs."


def cautions(rig: Rig, strings: Sequence[StringSheet]) -> tuple[str, ...]:
    """What can hurt, in plain words."""
    return tuple(_cautions(rig, strings))


def _cautions(rig: Rig, strings: Sequence[StringSheet]) -> Iterator[str]:
    yield "A steel string under tension can whip when it breaks: wear eye protection, and keep faces out of its plane while tuning."
    for string in strings:
        if string.stress_Pa > STRONG_SHARE * string.strength_min_Pa:
            share = 100.0 * string.stress_Pa / string.strength_min_Pa
            yield f"String {string.name} carries {share:.0f} % of the least strength of its wire: it may break."
        yield from _plain_wire(rig, string)
    if rig.loops:
        yield "Coils and amplifiers get hot: fuse the supply, and do not leave a new build on unattended."
        yield "A squealing or buzzing loop can be loud: keep the level down at the first switch-on and protect your hearing."
        yield "Batteries and supplies can deliver large currents into a short: follow the maker's instructions and local codes, and have mains wiring done by a licensed electrician."  # noqa: E501
        yield from supply_cautions(rig)
    if any(getattr(head, "magnets", ()) for head in rig.heads):
        yield "Magnets pinch, shatter and disturb implants and cards: keep them apart from both."


def _plain_wire(rig: Rig, string: StringSheet) -> Iterator[str]:
    """A stress that music wire bears and ordinary spring wire of the same size may not."""
    if string.material not in CARBON_STEEL or string.stress_Pa > STRONG_SHARE * string.strength_min_Pa:
        return
    least = spring_wire_minimum(load_diameter(next(one for one in rig.strings if one.name == string.name)))
    if string.stress_Pa > STRONG_SHARE * least:
        share = 100.0 * string.stress_Pa / least
        yield f"String {string.name} would carry {share:.0f} % of plain spring wire (EN 10270-1, grade SM): use what is sold as music wire."
