"""Loops that share a battery: preamplifier, coupling capacitor, an output stage that turns the sign; over heads that hardly pull."""

STRING = """
[[strings]]
name = "pier {k}"
material = "music wire"
diameter = "0.38 mm"
length = "640 mm"
pitch = "{pitch}"
partials_to = "2 kHz"
"""

HEAD = """
[[heads]]
name = "{role} {k}"
kind = "measured"
string = "pier {k}"
position = "{place} L"
gap = "3 mm"
law = {{ gap = "3 mm", factor = "10 uN/A", pull = "0.1 mN", decay_length = "1.5 mm" }}
resistance = "{ohm} ohm"
inductance = "2.6 mH"
face_diameter = "5 mm"
aperture = "6 mm"
"""

LOOP = """
[[loops]]
name = "loop {k}"
supply = "bench"
sense = ["sense {k}"]
drive = ["drive {k}"]
output = {{ capacitor = "220 uF" }}

[[loops.stages]]
kind = "op-amp"
preset = "general op-amp"
topology = "non-inverting"
feedback = "100 kohm"
to_ground = "1 kohm"
supply_rejection = "{rejection} dB"

[[loops.stages]]
kind = "coupling"
capacitor = "1 uF"
resistor = "10 kohm"

[[loops.stages]]
kind = "op-amp"
preset = "general op-amp"
topology = "inverting"
input_resistor = "10 kohm"
feedback = "100 kohm"
output_resistance = "1 ohm"
current_limit = "1 A"
supply_rejection = "{rejection} dB"
"""

SUPPLY = """
[[supplies]]
name = "bench"
kind = "battery"
cells = "{cells}"
used = {used}
"""


def loops_on_one_battery(count, *, rejection=60, cells="zinc-carbon 9 V block", used=0.8, more=""):
    """A scenario of so many loops; more: further keys of the battery."""
    parts = ['format = 1\ntitle = "Loops on one battery"\n']
    for k, pitch in enumerate(("G3", "A3")[:count]):
        parts.append(STRING.format(k=k, pitch=pitch))
        parts += [HEAD.format(k=k, role=role, place=place, ohm=24) for role, place in (("sense", 0.4), ("drive", 0.286))]
        parts.append(LOOP.format(k=k, rejection=rejection))
    parts.append(SUPPLY.format(cells=cells, used=used) + more)
    return "".join([*parts, '\n[start]\nkind = "switch-on"\n\n[run]\nduration = "1.5 s"\n'])
