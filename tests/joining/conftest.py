"""A house with its door, for tests of what comes in by it."""

import pytest
from machines import House


@pytest.fixture
def house(tmp_path):
    made = House(tmp_path)
    yield made
    made.close()
