"""Print the table of speeds: `python tests/benchmarks/run.py` (some minutes; needs gcc).

Compared runs take turns, so that a busy machine slows both; the middle of many is told. One core.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.check import check_rows
from benchmarks.heads import head_rows
from benchmarks.kernel import kernel_rows
from benchmarks.report import report_rows
from benchmarks.tables import Row, markdown
from benchmarks.takes import take_rows


def main() -> None:
    rows: list[Row] = []
    for part in (kernel_rows, head_rows, take_rows, check_rows, report_rows):
        rows += part()
    print(markdown(rows))


if __name__ == "__main__":
    main()
