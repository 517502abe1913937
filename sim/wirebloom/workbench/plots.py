"""Every drawing with one axis, by name: ``plots.clearance(take)`` draws into a new figure, ``plots.clearance(take, ax)`` into yours.

Each returns the matplotlib axis that it drew into; ``.figure.savefig(…)`` keeps it. What they are drawn from stands first:
a take, a check, a map, or takes by their names.

Examples
--------
>>> import wirebloom as wb
>>> ax = wb.plots.places(wb.check("first_note"))
>>> ax.get_xlabel()
'along the string from the bridge end, share of its length'
"""

from wirebloom.views.approach import approach
from wirebloom.views.bloom import bloom, head_bands
from wirebloom.views.check_gaps import factor_over_gap
from wirebloom.views.check_growth import gain_plane, growth_bars
from wirebloom.views.check_map import partial_map as leading_partial
from wirebloom.views.check_places import places
from wirebloom.views.comparison import overlay_clearance, overlay_levels
from wirebloom.views.electrics import drive_current, drive_voltage, energy_accounts, ledger_residual
from wirebloom.views.head_section import head_section
from wirebloom.views.motion import clearance, last_periods, string_motion, string_shape
from wirebloom.views.orbit import orbit
from wirebloom.views.partials import partial_lines, partial_map, partial_rows
from wirebloom.views.portrait import portrait
from wirebloom.views.rig_drawing import side_view
from wirebloom.views.spectrogram import spectrogram

__all__ = [
    "approach", "bloom", "clearance", "drive_current", "drive_voltage", "energy_accounts", "factor_over_gap", "gain_plane",
    "growth_bars", "head_bands", "head_section", "last_periods", "leading_partial", "ledger_residual", "orbit", "overlay_clearance",
    "overlay_levels", "partial_lines", "partial_map", "partial_rows", "places", "portrait", "side_view", "spectrogram", "string_motion",
    "string_shape",
]  # fmt: skip
