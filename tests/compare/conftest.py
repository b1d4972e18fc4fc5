"""Passes with strip clocks and no log, of the contract's car: enough for all but the gears."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from nextpass.car import Conditions, PassRecord, Setup, StripClocks
from nextpass.files import read_car
from nextpass.fit import fit_car
from nextpass.log import Log, LogQuality
from nextpass.review import Review, ReviewedPass
from nextpass.review.timeslip import empty_timeslip

NOON = datetime(2026, 5, 2, 12, tzinfo=UTC)
EVENING = Conditions(air_temperature_c=18.0, pressure_kpa=100.9, humidity=0.55, track_temperature_c=27.0)
SETUP = Setup(
    values={
        "launch_rpm": 3000.0,
        "launch_pressure_kpa": 120.0,
        "gear_pressure_cap_kpa": (150.0, 165.0, 180.0, 190.0, 190.0, 190.0),
        "shift_rpm": 6800.0,
        "fuel": "E60",
        "charge_spray": False,
    }
)
# A pass of such a car against the beams [s], and its trap speed [m/s].
SLIP = {"t60ft_s": 1.80, "t330ft_s": 4.95, "t660ft_s": 7.55, "t1000ft_s": 9.80, "et_s": 11.70, "trap_mps": 54.5}


def strip_pass(number: int, gain_s: float = 0.0, minutes: float | None = None, **record) -> ReviewedPass:
    """A pass that is `gain_s` quicker than `SLIP` at the finish, the gain growing evenly along the strip."""
    times = {
        name: round(value - gain_s * value / SLIP["et_s"], 4) for name, value in SLIP.items() if name != "trap_mps"
    }
    clocks = StripClocks(**times, trap_mps=SLIP["trap_mps"] + 8.0 * gain_s)
    given = {"conditions": EVENING, "setup": SETUP, "clocks": clocks, **record}
    started = NOON + timedelta(minutes=20.0 * number if minutes is None else minutes)
    return ReviewedPass(
        record=PassRecord(folder=Path(f"pass{number}"), number=number, started=started, logs=(), notes="", **given),
        log=Log(channels={}, unmatched={}, marks=(), quality=LogQuality(rate_hz=0.0, gaps=(), remarks=())),
        review=Review(
            timeslip=empty_timeslip("no log"),
            phases=(),
            findings=(),
            ground_speed=None,
            missing=(),
            assumed=(),
            corrected=None,
            strip=(),
        ),
    )


@pytest.fixture(scope="session")
def car():
    return read_car(Path(__file__).parents[1] / "files" / "contract" / "car.toml")


@pytest.fixture(scope="session")
def make():
    """`strip_pass`, for test modules that are imported without their package."""
    return strip_pass


@pytest.fixture(scope="session")
def unfitted(car):
    """The car as its file has it, with the widths of an owner's guesses."""
    return fit_car(car, ())
