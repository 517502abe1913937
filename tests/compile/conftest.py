"""Put the folder of the tests on the import path, so that `from consistency.scenario import …` works everywhere."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
