"""What `check` found out, in words and tables: one line that decides, the sign table, the figures behind them, limits and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirebloom.views.check_headline import check_headline
from wirebloom.views.check_rows import check_rows
from wirebloom.views.check_tables import check_tables
from wirebloom.views.verdict import Verdict, render

if TYPE_CHECKING:
    from rich.console import RenderableType

    from wirebloom.take.check import Check


def check_sheet(check: Check) -> RenderableType:
    """Return everything ready to print.

    Parameters
    ----------
    check : Check
    """
    return render(check_verdict(check), *check_tables(check))


def check_verdict(check: Check) -> Verdict:
    """Put it into words, tables left out.

    Parameters
    ----------
    check : Check
    """
    return Verdict(check_headline(check), tuple(check_rows(check)), check.limits, check.cautions)
