"""Keys of `summary.json` and of `run --json`, in their order, with what they mean."""

KEYS = {
    "title": "of the scenario",
    "status": '"complete" or "interrupted"',
    "duration_s": "simulated time reached",
    "seed": "of the noise",
    "starts": "true for sustained or growing; null for a take too short to tell",
    "outcome": '"sustained", "growing" or "dying", over the last second; "carried": it only moves at a louder string\'s pitch; '
    '"squeals": its loop sounds without it',
    "start_time_s": "to 90 % of the final amplitude of the bridge force, if sustained",
    "growth_rate_per_s": "of the dominant partial while the drive is below 1 % of its swing",
    "growth": "of which partial and polarisation, from when to when",
    "dominant_partial": "loudest over the last half second, by bridge force",
    "dominant_at_head": "the same by displacement at the drive heads",
    "pitch_Hz": "of the dominant partial",
    "pitch_cent": "against its number times the pitch the string is tuned to",
    "pitch_from_free_cent": "against the same partial of the string alone",
    "level_slope_dB_per_s": "of the bridge force over the last second",
    "bridge_force_N": "amplitude over the last half second, partials summed by power",
    "partial_force_N": "the same of each of the first partials",
    "clearance_mm": "lowest gap in motion over all heads; 0 once a face is met",
    "clearance_head": "where",
    "first_touch_s": "null if none",
    "buzz": '"none", "early", "occasional", "steady" or "resting"',
    "drive_rms_V": "amplifier's output about its bias, last second; the highest loop",
    "drive_peak_V": "the same, peak",
    "drive_rms_A": "current in the drive coils",
    "drive_peak_A": "the same, peak",
    "drive_saturated": "share of the time within 1 % of the swing's ends",
    "drive_crest": "peak over rms voltage, of a single loop: 1 for a square wave",
    "drive_power_W": "into the whole drive circuit; loops summed",
    "coil_heat_W": "in the windings alone",
    "supply_A": "mean current from the upper rail",
    "lower_supply_A": "from the lower rail of a split supply",
    "supply_W": "from the supply",
    "squeals": "whether any loop sounds without its strings",
    "squeal_Hz": "at which frequency; null for none, and for one above what the signals hold",
    "string_share": "of the power that an amplifier hears, what comes from the strings; the lowest loop",
    "string_power_W": "mean work of the drive heads on the strings",
    "supplies": "a list, one for each named supply: mean current from its upper and lower rail, peak current, least voltage and that "
    "without load (of a split supply its upper half's), hours that its battery lasts at this level (null without one), whether the battery "
    "drops out in the peaks",
    "realtime_factor": "simulated time over the time loop's own",
    "ledger_residual": "largest energy unaccounted for, over the largest stored up to then",
    "ledger_drift": "energy unaccounted for at the end, over all that was put in",
    "heads": "a list, one for each string over a head: force factor and static pull at rest, with the ends of their bands; "
    "`band_note`: what a measured value did to these",
    "idle": "a list, one for each loop, with the strings held still and as if nothing clipped: noise (20 Hz to 20 kHz) and hum at its "
    "output, both together in its drive coils, rms; `gain_left`: the share of its gain that they and the "
    "input offset leave to a note that begins",
    "note_to_hum_dB": "bridge force of the note over what stands at multiples of the mains, by power, last two seconds; null without mains",
    "note_to_hum_dBA": "the same, both weighted as the ear does (IEC 61672-1, A)",
    "heat": 'a list, one for each loop with a wound drive coil, if the last second goes on for good: `duty` ("for good", "uncertain" with '
    'little cooling, "limited"), the fuse that fits and the current that the coils bear, and of every coil its temperatures, the limit '
    "that gives way first, and the times until it is too hot or not to be touched (null: never, or without bound)",
    "band": "start time, growth rate and clearance from `_low_` to `_high_` over the run and both ends of the band, and under `weak` and "
    "`strong` what the string does there; null if the ends were not run",
    "digest": "of the scenario's text and its overrides",
}
# Only where there are several strings or loops.
SEVERAL = {
    "string": "the string the top level speaks of: the loudest that starts, or of all if none does",
    "strings": "name, sounding, nearness and band of each string, keys as above",
    "loops": "name and electrical keys of each loop",
}


def summary_table() -> str:
    several = {name: f"{meaning} (several only)" for name, meaning in SEVERAL.items()}
    rows = [f"| `{name}` | {meaning} |" for name, meaning in (KEYS | several).items()]
    return "\n".join(["| key | meaning |", "|---|---|", *rows])
