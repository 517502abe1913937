"""Print the tables of DEVELOPERS.md anew: `python tests/developers/write.py`."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from developers.sections import DEVELOPERS, rewritten

if __name__ == "__main__":
    DEVELOPERS.write_text(rewritten(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
