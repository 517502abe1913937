"""Print the API reference from the docstrings: `python tests/developers/reference.py` writes pages into outputs/reference."""

import sys
from pathlib import Path

import pdoc

import wirebloom

ROOT = Path(__file__).resolve().parents[2]
REFERENCE = ROOT / "outputs" / "reference"
MODULES = (
    "wirebloom", "!wirebloom.run",  # the room; the function stands on the page of the package
    "wirebloom.workbench.plots", "wirebloom.workbench.audio", "wirebloom.workbench.setup", "wirebloom.workbench.comparison",
    "wirebloom.take.take", "wirebloom.take.sheet", "wirebloom.take.band", "wirebloom.take.measures", "wirebloom.take.nearness",
    "wirebloom.take.electrics", "wirebloom.take.growth", "wirebloom.take.supply", "wirebloom.take.warm_parts", "wirebloom.take.check",
    "wirebloom.take.check_sheet", "wirebloom.take.check_signs", "wirebloom.take.check_small", "wirebloom.take.check_saturated",
    "wirebloom.take.check_prescriptions", "wirebloom.take.check_curves", "wirebloom.take.check_map", "wirebloom.views.audio",
    "wirebloom.views.body", "wirebloom.views.clips",
)  # fmt: skip


def write(folder: Path) -> list[Path]:
    """Write a page for every module of the list, and return the pages."""
    for name in wirebloom.__all__:  # pdoc reads what is there, and asks for nothing
        getattr(wirebloom, name)
    pdoc.render.configure(docformat="numpy", show_source=False, footer_text="Wirebloom")
    pdoc.pdoc(*MODULES, output_directory=folder)
    return sorted(folder.rglob("*.html"))


if __name__ == "__main__":
    sys.stdout.write(f"{len(write(REFERENCE))} pages in {REFERENCE.relative_to(ROOT)}\n")
