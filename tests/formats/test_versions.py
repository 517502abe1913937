"""Files of every version so far are still read. Each came from the script beside it, when its version was the newest."""

import h5py

from wirebloom.take.store import load

from . import make_version_1
from .same import differences


def test_version_1():
    assert differences(make_version_1.make_take(), load(make_version_1.FILE)) == []


def test_version_1_says_what_it_is():
    """Read without this package, in units and order that a stranger finds in the file itself."""
    with h5py.File(make_version_1.FILE) as file:
        assert file.attrs["kind"] == "wirebloom take"
        assert file.attrs["format_version"] == 1
        current = file["signals/drive_current"]
        assert (current.attrs["units"], current.attrs["long_name"]) == ("A", "current in the driving coils")
        assert [dim[0].name for dim in current.dims] == ["/signals/time", "/signals/loop"]
        assert current[2, 1] == make_version_1.make_take().signals.drive_current[2, 1]
