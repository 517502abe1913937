"""A take, or several beside one another, as one HTML file that needs nothing else: no network, no script, no other file."""

from wirebloom.views.report.html import report, write_report

__all__ = ["report", "write_report"]
