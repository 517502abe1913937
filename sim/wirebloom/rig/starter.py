"""The commented scenario that ``wirebloom new`` writes."""

STARTER = """\
# A scenario for Wirebloom: what stands on the bench, and what is done with it.
#
# Values are texts with their units: "0.38 mm", "24 in", "9 V", "10 uF", "330 ohm", "30 gf", "20 degC".
# A pitch is a note name ("G3", "C#3", "Bb1", A4 = 440 Hz, also "G3 + 5 cent") or a frequency ("196 Hz").
# A place along a string counts from its bridge end, as a length or as a share of the string's length ("0.4 L").
# Keys that stand behind a single # are left out here; the value shown is the default, or an example where there is none.
#
# Take care. A string under tension can snap: protect your eyes, and tune slowly. Coils and chips get hot. Strong magnets
# pinch, and harm pacemakers and cards. A note that feeds itself can be loud. Short-circuited batteries burn. Local codes come
# first, and mains work is for licensed people.

format = 1
title = "My first rig"
story = "What I want to find out."

# ---- Strings -----------------------------------------------------------------------------------------------------------

[[strings]]
name = "one"                  # letters, digits, spaces, - and _
material = "music wire"       # or "stainless", "wound steel", "wound bronze" (both need core_diameter), "bronze" (no head can pull it)
diameter = "0.38 mm"
# core_diameter = "0.25 mm"   # of a wound string
length = "640 mm"
pitch = "G3"                  # or tension = "56 N", not both
# partials_to = "10 kHz"

[strings.damping]             # how the string dies away on its own
# air = true
# viscoelastic = true
# thermoelastic = true
support_q = 2000              # quality factor of the loss into bridge and frame: higher rings longer
# t60 = [[1, "10 s"], [2, "8 s"], [3, "6 s"]]   # measured decay times by partial, instead of all of the above

[strings.sideways]            # the motion across the heads
detune = "0.5 cent"
support_q = 1500

# [strings.magnetism]         # measured, instead of what is taken for the material
# susceptibility = 100
# reversible = 70             # of small changes about a state of rest
# saturation = "2.04 T"

# [[strings.dampers]]         # a finger or a felt on the string
# position = "0.5 L"
# resistance = "1 N s/m"
# start = "0 s"
# end = "2 s"                 # left out: to the end of the run

# ---- Heads -------------------------------------------------------------------------------------------------------------
# Depths (top, bottom) count downwards from the face plane, which is the top of the core.

[[heads]]
name = "sense"
string = "one"
position = "0.4 L"
gap = "1 mm"                  # face to the nearest surface of the string
# offset = "0 mm"             # of the string, sideways from the axis of the head
# reversed = false            # coil connected the other way round

[heads.core]
diameter = "5 mm"
length = "10 mm"
permeability = 1000
# steel = "mild steel"        # or "sheet steel", "free-cutting steel": its curve tells where it saturates (goes before permeability)
# curve = [["0 A/m", "0 T"], ["240 A/m", "0.2 T"], ["1.27 kA/m", "1.2 T"], ["8 kA/m", "1.73 T"]]   # or its own, [H, B]
# resistivity = "0.14 uohm m"
# solid = true                # false for ferrite, powder, or a bundle of insulated wires: no eddy currents

[heads.coil]
turns = 420
wire = "0.10 mm"              # bare copper; or a gauge such as "AWG 38"
inner_diameter = "5.6 mm"
outer_diameter = "11.2 mm"
top = "0.5 mm"
bottom = "8.5 mm"
# resistance = "24 ohm"       # measured values override the computed ones
# inductance = "2.6 mH"
# enamel = "class 155"        # of the wire, also 105, 120, 130, 180, 200 or 220: how warm the coil may get for good

[[heads.magnets]]
shape = "disc"                # or "rod", or "ring" with an inner_diameter
diameter = "8 mm"
thickness = "3 mm"
# count = 1                   # a stack of so many
# top = "10 mm"               # default: just behind the core
remanence = "0.38 T"          # the maker's data sheet tells; or instead of it a grade:
# grade = "Y30"               # "ferrite", "Y25", "Y30BH", "Y35", "neodymium", "N35" … "N52", "alnico 2", "alnico 3", "alnico 5", "alnico 8"
# coercivity = "50 kA/m"      # with energy_product, a magnet of a grade that is not listed
# energy_product = "41 kJ/m3"
# curve = [["-50 kA/m", "0 T"], ["-40 kA/m", "1.02 T"], ["0 A/m", "1.27 T"]]   # or its demagnetisation curve, [H, B]
recoil_permeability = 1.05
# magnetised = "apart"        # or "in place", in the finished head: tells with alnico
direction = "up"              # towards the string

# [[heads.plates]]            # soft discs or rings behind the head or around it; steel, curve, resistivity, solid as for a core
# diameter = "14 mm"          # a ring has an inner_diameter too
# thickness = "2 mm"          # its top is just behind everything else, if none is given
# permeability = 1000

# [heads.measured]            # on the finished head: each value narrows the band of what is computed
# pull = "3.4 mN"             # weighed, on the string at its gap
# force_factor = "15 mN/A"    # or volts per speed of the string
# face_field = "25 mT"        # of the magnets on the axis, without a string
# gap = "1 mm"                # where pull and force_factor were measured; default: where the string stands
# string = "one"              # and over which string
# height = "1 mm"             # of the probe's sensitive spot above the face
# accuracy = 0.05

# [heads.tolerance]           # how far the head as built may be off
# gap = "0.1 mm"
# turns = 0.02
# remanence = 0.1

[[heads]]
name = "drive"
like = "sense"                # the same build: only what differs is written
string = "one"
position = "0.286 L"
gap = "1 mm"

# A head that was measured instead of described:
# [[heads]]
# name = "measured"
# kind = "measured"
# string = "one"
# position = "0.15 L"
# gap = "1 mm"
# points = [["0.5 mm", "20 mN/A", "4 mN"], ["1 mm", "14 mN/A", "3 mN"], ["2 mm", "7 mN/A", "1.5 mN"]]   # gap, force per current, pull
# resistance = "24 ohm"
# inductance = "2.6 mH"
# face_diameter = "5 mm"
# aperture = "6 mm"           # length of string that the head looks at

# ---- Loops -------------------------------------------------------------------------------------------------------------

[[loops]]
name = "main"
sense = ["sense"]             # several names: coils in series
drive = ["drive"]

[loops.amplifier]
gain = 1e5                    # a power amplifier chip has about 200
gain_bandwidth = "3 MHz"
slew = "13 V/us"
supply = "9 V"
supply_kind = "single"        # or "split": then supply is each half
headroom = "1.5 V"            # what the output cannot reach of either rail
polarity = "normal"           # or "reversed": the drive coil the other way round
# input_resistance = "10 Mohm"
# input_capacitance = "100 pF"
# coil_capacitance = "30 pF"
# noise = "10 nV/rtHz"
# input_offset = "0 mV"
# output_resistance = "0.5 ohm"
level_resistor = "100 ohm"    # in series with the drive coil: less drive, less heat, more clearance
# quiescent_current = "5 mA"

[loops.output]
capacitor = "470 uF"          # a single supply needs one

# [loops.phase]
# kind = "series capacitor"   # or "none", "ideal lead", "ideal lag" (these two with frequency = "196 Hz")
# capacitor = "10 uF"

# In place of [loops.amplifier] a loop can have blocks in a row, and then names its supply (supply = "bench", see below):
#   [[loops.stages]]
#   kind = "op-amp"
#   preset = "general op-amp"   # or "low-noise op-amp", "rail-to-rail op-amp"; keys of its own go before the preset's
#   topology = "inverting"      # the sense coil's own resistance is the input resistor; or "non-inverting" with to_ground
#   feedback = "24 kohm"
#   [loops.stages.levelling]    # automatic gain, of an op-amp or a buffer: above this mean size of the output it is turned down
#   level = "50 mV"
#   [[loops.stages]]
#   kind = "coupling"           # a capacitor, then a resistor to the resting point; share = 0.5 makes a pot of it
#   capacitor = "1 uF"
#   resistor = "10 kohm"
#   [[loops.stages]]
#   kind = "power chip"         # or "buffer" with preset = "class-AB buffer"
#   preset = "small audio power chip"   # or "medium power chip"
#   bypass = "10 uF"            # gain 200 and a lead at low notes; without it 20
#   [loops.input]
#   resistor = "10 kohm"        # across the sense coils
#   [loops.output.snubber]      # resistor and capacitor from the last output to ground
#   resistor = "10 ohm"
#   capacitor = "47 nF"

# A supply that gives way under load; loops name it (supply = "bench") in place of supply and supply_kind, and several may share it:
# [[supplies]]
# name = "bench"
# kind = "battery"            # or "regulator" (voltage, output_resistance, dropout, battery = "…"), or "ideal" (voltage)
# cells = "alkaline 9 V block"   # "alkaline AA", "NiMH AA", "Li-ion 18650", "lead-acid 7 Ah" …
# count = 1                   # in series
# used = 0.3                  # share of its charge that is gone
# decoupling = "1000 uF"      # capacitor across it
# split = false               # true: two equal halves about ground

# [[couplings]]               # measured crosstalk, instead of the computed one
# heads = ["sense", "drive"]
# mutual = "1 uH"
# capacitance = "2 pF"        # from the drive coil's hot end to the sense coil's: next to nothing, unless leads run side by side

# [room]
# temperature = "20 degC"
# tuning_temperature = "20 degC"

# [room.mains]                # stray field of wiring and transformers along the heads' axes: hum
# field = "0.5 uT"
# frequency = "50 Hz"
# harmonics = [0.1, 0.2, 0.05, 0.1]   # shares of the 2nd, 3rd …

# ---- What is done ------------------------------------------------------------------------------------------------------

[start]
kind = "switch-on"            # or "noise", "pluck" (string, position, height), "tap" (string, position, force, duration)
# ramp = "20 ms"              # how fast the supply comes up

[run]
duration = "8 s"
# rate = "96 kHz"
# audio_rate = "48 kHz"
# frame = "10 ms"             # spacing of the slow records
seed = 1                      # the same seed, the same noise
# loads = "shared"            # or "separate": each part of a head's force loads the string in its own way; slower
"""
