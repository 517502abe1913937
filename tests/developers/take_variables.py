"""What stands in the file of a take: its variables as `wirebloom.take.contents` has them, its attributes in words."""

from wirebloom.take import contents

GROUPS = {
    "signals": contents.SIGNALS,
    "frames": contents.FRAMES,
    "shape": contents.SHAPE,
    "sheet/strings": contents.with_partials(contents.STRINGS, "string"),
    "sheet/poles": contents.with_partials(contents.POLES, "pole"),
    "sheet/loops": contents.LOOPS,
    "sheet/coils": contents.COILS,
    "sheet/supplies": contents.SUPPLIES,
    "band": contents.BAND,
}

# Attribute (its group before a colon, none: the root): type and meaning. A * stands for any ending.
ATTRIBUTES = {
    "kind": ("text", '"wirebloom take"'),
    "format_version": ("whole number", "1"),
    "title": ("text", "of the scenario"),
    "digest": ("text", "of the scenario's text and its overrides"),
    "scenario": ("text", "the scenario as it was read"),
    "overrides": ("texts", "changes made to it, `path=value`"),
    "seed": ("whole number", "of the noise"),
    "status": ("text", '"complete" or "interrupted"'),
    "duration_s": ("number", "simulated time reached"),
    "rate_Hz": ("number", "steps"),
    "audio_rate_Hz": ("number", "samples of the signals"),
    "version_*": ("text", "of each package that made it, and of Python"),
    "lost": ("texts", "signals and slow records that a damaged file no longer had when saved anew: they read as 0; else absent"),
    "wall_*": ("number", "`wall_kernel_s`, `wall_realtime_factor`: time the loop took, and simulated over real time"),
    "sheet: limits": ("texts", "what the model leaves out that matters for this rig"),
    "sheet: cautions": ("texts", "what can hurt"),
}


def attribute_table() -> str:
    rows = [f"| `{name}` | {kind} | {meaning} |" for name, (kind, meaning) in ATTRIBUTES.items()]
    return "\n".join(["| attribute | type | meaning |", "|---|---|---|", *rows])


def variable_table() -> str:
    rows = [
        f"| {group} | `{name}` | {', '.join(variable.dims)} | {'text' if variable.text else variable.units} | {variable.long_name} |"
        for group, table in GROUPS.items()
        for name, variable in table.items()
    ]
    return "\n".join(["| group | variable | dimensions | unit | meaning |", "|---|---|---|---|---|", *rows])
