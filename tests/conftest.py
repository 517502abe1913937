"""Linear algebra on one thread: all matrices in the tests are tiny, and threads that wait for each other cost more than they do."""

import pytest
from threadpoolctl import threadpool_limits


@pytest.fixture(autouse=True, scope="session")
def one_thread():
    with threadpool_limits(1):
        yield
