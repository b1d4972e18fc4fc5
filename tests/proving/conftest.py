"""One fleet and one afternoon for all tests of the proving ground: building them costs more than most tests."""

import numpy as np
import pytest

from nextpass.proving import demo_day, drive_demo_pass, fleet
from nextpass.proving.driver import Driver, no_luck
from nextpass.proving.pack import pack_pass


@pytest.fixture(scope="session")
def day():
    return demo_day()


@pytest.fixture(scope="session")
def entries():
    return fleet(12, seed=1)


@pytest.fixture(scope="session")
def sobered(day):
    """The third pass of the afternoon: no spin, all gears up to the sixth."""
    return drive_demo_pass(day, day.passes[2].setup, day.passes[2].conditions, 3)


@pytest.fixture
def constants(day):
    """Constants of a pass of the afternoon, to be changed at will; record with fields as attributes."""
    third = day.passes[2]
    packed = pack_pass(day.car, day.strip, third.conditions, third.setup, Driver(), no_luck())
    return packed.view(np.recarray)
