"""What the presets of amplifying devices stand for, and how far such devices scatter."""

from wirebloom.rig.presets import PRESETS


def preset_table() -> str:
    """One row a key, one column a preset: least, typical (which stands in for a key that is left out) and greatest."""
    keys = dict.fromkeys(key for preset in PRESETS.values() for key in preset.keys)
    rows = [f"| `{key}` | {' | '.join(_cell(name, key) for name in PRESETS)} |" for key in keys]
    head = [f"| key | {' | '.join(PRESETS)} |", f"|---|{'---|' * len(PRESETS)}"]
    about = [f"| | {' | '.join(preset.about for preset in PRESETS.values())} |"]
    return "\n".join([*head, *about, *rows])


def _cell(name: str, key: str) -> str:
    spread = PRESETS[name].keys.get(key)
    return "" if spread is None else f"{spread.low} … **{spread.typical}** … {spread.high}"
