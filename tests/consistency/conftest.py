"""Put the folder of the tests on the import path, and keep linear algebra to one thread: all matrices here are tiny."""

import sys
from pathlib import Path

import pytest
from threadpoolctl import threadpool_limits

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))


@pytest.fixture(autouse=True, scope="session")
def one_thread():
    with threadpool_limits(1):
        yield
