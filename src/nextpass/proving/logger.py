"""A logger: which channels it has, how often it writes a row, in which dialect; from an outcome to the text of a log.

Row times jitter; channels of the gearbox's control unit come every other row where both units share a slow bus; the
text is what a real logger would write, with its own headings, units and forms of time (`dialects.toml`).
"""

import tomllib
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import blend
from nextpass.proving.outcome import Outcome
from nextpass.proving.sensors import Mounting, sampled
from nextpass.proving.signals import log_clock

FloatArray = NDArray[np.float64]
SensorSet = Literal["everything", "accelerometer and gps", "accelerometer and wheels", "wheels", "gps", "undriven axle"]
ACCELEROMETER = ("longitudinal_acceleration_mps2", "lateral_acceleration_mps2", "vertical_acceleration_mps2")
GPS = ("gps_speed_mps",)
FRONT = ("wheel_speed_fl_mps", "wheel_speed_fr_mps")
REAR = ("wheel_speed_rl_mps", "wheel_speed_rr_mps")
WHEELS = (*FRONT, *REAR, "vehicle_speed_mps")
GEARBOX = (
    "gear",
    "gearbox_oil_temperature_c",
    "clutch_torque_nm",
    "clutch_a_pressure_kpa",
    "clutch_b_pressure_kpa",
    "input_shaft_rpm",
    "output_shaft_rpm",
)
STARTED = datetime(2026, 5, 2, 14, 10, 12, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Logger:
    """One logger in one car.

    Parameters
    ----------
    dialect : str
        One of `DIALECTS`.
    rate_hz : float
        Rows a second [Hz].
    jitter : float
        Standard deviation of a row's time over the row interval [-].
    sensors : SensorSet
        What tells of the car's motion; with all wheels driven there is no undriven axle, and so nothing.
    without : tuple of str
        Channels that it lacks besides.
    gearbox_every : int
        The gearbox's control unit answers every so many rows only, its channels are held between.
    extra_columns : int
        Columns besides that nobody knows the meaning of, as in a log of everything.
    mounting : Mounting
        Of accelerometer and GPS.
    noise : float
        Factor on the noise of all sensors [-].
    starts_s : float
        Switched on so late after the pass's own clock began [s]; its times count from there.
    started : datetime
        When the log began.
    """

    dialect: str = "bench"
    rate_hz: float = 50.0
    jitter: float = 0.03
    sensors: SensorSet = "everything"
    without: tuple[str, ...] = ()
    gearbox_every: int = 1
    extra_columns: int = 0
    mounting: Mounting = field(default_factory=Mounting)
    noise: float = 1.0
    starts_s: float = 0.0
    started: datetime = STARTED


def any_logger(seed: int, sensors: SensorSet = "everything", rate_hz: float | None = None) -> Logger:
    """A logger as a stranger might have fitted it: dialect, rate, mounting and receiver drawn.

    Parameters
    ----------
    seed : int
        Same seed, same logger.
    sensors : SensorSet
        What tells of the car's motion.
    rate_hz : float, optional
        Rows a second; drawn where it is not given [Hz].
    """
    rng = np.random.default_rng([seed, 7002])
    mounting = Mounting(
        bias_mps2=float(rng.normal(0.0, 0.12)),
        tilt_deg=float(rng.normal(0.0, 1.2)),
        gain=1.0 + float(rng.normal(0.0, 0.006)),
        gps_rate_hz=float(rng.choice([5.0, 10.0, 10.0, 20.0, 25.0])),
        gps_lag_s=float(rng.uniform(0.10, 0.30)),
    )
    drawn_hz = float(rng.choice([10.0, 20.0, 24.0, 24.0, 40.0, 50.0, 70.0, 100.0]))
    return Logger(
        dialect=str(rng.choice(DIALECTS)),
        rate_hz=drawn_hz if rate_hz is None else rate_hz,
        jitter=float(rng.uniform(0.0, 0.08)),
        sensors=sensors,
        mounting=mounting,
    )


@cache
def dialects() -> dict[str, Any]:
    """All dialects as `dialects.toml` states them."""
    return tomllib.loads(files("nextpass.proving").joinpath("dialects.toml").read_text(encoding="utf-8"))


# Those that a fleet draws from.
DIALECTS = tuple(name for name, dialect in dialects().items() if dialect.get("drawn", True))
# What control units take off an absolute pressure to log "boost": ISO 2533 at sea level.
STANDARD_KPA = 101.325


def missing_channels(logger: Logger, front_drive_share: float) -> set[str]:
    """Canonical names of what this logger does not have.

    Parameters
    ----------
    logger : Logger
    front_drive_share : float
        Of the car, to know its undriven axle [-].
    """
    undriven = REAR if front_drive_share >= 1.0 else FRONT if front_drive_share <= 0.0 else ()
    gone: dict[str, tuple[str, ...]] = {
        "everything": (),
        "accelerometer and gps": WHEELS,
        "accelerometer and wheels": GPS,
        "wheels": (*ACCELEROMETER, *GPS),
        "gps": (*ACCELEROMETER, *WHEELS),
        "undriven axle": (*ACCELEROMETER, *GPS, *(name for name in WHEELS if name not in undriven)),
    }
    return {*gone[logger.sensors], *logger.without}


def row_times_s(outcome: Outcome, logger: Logger, rng: np.random.Generator) -> FloatArray:
    """Times of the rows on the pass's clock, rising, shape (n,) [s]; a late logger begins at its `starts_s`."""
    step_s = 1.0 / logger.rate_hz
    even = np.arange(logger.starts_s, float(log_clock(outcome)[-1]), step_s)
    # A row is late or early, but never trades its place with the next.
    return np.maximum(
        even + step_s * np.clip(logger.jitter * rng.standard_normal(even.size), -0.4, 0.4), logger.starts_s
    )


def logged(outcome: Outcome, logger: Logger, seed: int) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Row times and channels of the log before they are put into words, in canonical units.

    Parameters
    ----------
    outcome : Outcome
        With a trace.
    logger : Logger
    seed : int
        Draws jitter and noise.

    Returns
    -------
    ndarray, shape (n,)
        Times of the rows [s].
    dict of str to ndarray, shape (n,)
        Channels that the logger and its dialect have.
    """
    rng = np.random.default_rng([seed, 7003])
    rows_s = row_times_s(outcome, logger, rng)
    channels = sampled(outcome, rows_s, logger.mounting, logger.noise, rng)
    gone = missing_channels(logger, outcome.car.driveline.front_drive_share)
    written = dialects()[logger.dialect]["columns"]
    seen = {name: channels[name] for name in written if name in channels and name not in gone}
    answered = (np.arange(rows_s.size) // logger.gearbox_every) * logger.gearbox_every
    return rows_s, {name: values[answered] if name in GEARBOX else values for name, values in seen.items()}


def log_text(outcome: Outcome, logger: Logger, seed: int) -> str:
    """The log as its file reads.

    Parameters
    ----------
    outcome : Outcome
        With a trace.
    logger : Logger
    seed : int
        Draws jitter and noise.
    """
    rows_s, channels = logged(outcome, logger, seed)
    fuel = outcome.car.believed.fuels[outcome.setup.fuel]
    afr = float(blend.blend_stoichiometric_afr(fuel.ethanol))
    return text_of(rows_s, channels, logger, outcome.conditions.pressure_kpa, afr)


def text_of(
    rows_s: FloatArray, channels: dict[str, FloatArray], logger: Logger, ambient_kpa: float, stoichiometric_afr: float
) -> str:
    """Channels in the words of a dialect.

    Parameters
    ----------
    rows_s : ndarray, shape (n,)
        [s].
    channels : dict of str to ndarray, shape (n,)
        In canonical units; nan becomes an empty cell.
    logger : Logger
    ambient_kpa : float
        Zero of gauge pressures [kPa].
    stoichiometric_afr : float
        Air-fuel ratio at lambda 1 [kg/kg].
    """
    dialect = dialects()[logger.dialect]
    separator, comma = dialect["separator"], dialect["decimal"] == ","
    heading, form = dialect["time"]
    columns = [[heading, *_times(rows_s - logger.starts_s, form, logger.started)]]
    units = ["s" if form == "s" else ""]
    for name, values in channels.items():
        title, unit, decimals = dialect["columns"][name]
        shown = in_unit(values, unit, ambient_kpa, stoichiometric_afr)
        cells = ["" if np.isnan(value) else f"{value:.{decimals}f}" for value in shown]
        columns.append([title, *cells])
        units.append({"C": "°C", "rpm": "1/min"}.get(unit, unit))
    for number in range(1, logger.extra_columns + 1):
        cells = [f"{value:.2f}" for value in 50.0 + 40.0 * np.sin(0.07 * number * rows_s + number)]
        columns.append([f"Value {number:03d}", *cells])
        units.append("")
    if comma:
        columns = [[column[0], *(cell.replace(".", ",") for cell in column[1:])] for column in columns]
    lines = [separator.join(row) for row in zip(*columns, strict=True)]
    if dialect["units_row"]:
        lines.insert(1, separator.join(units))
    return "\n".join([*dialect["preamble"], *lines]) + "\n"


def in_unit(values: FloatArray, unit: str, ambient_kpa: float, stoichiometric_afr: float) -> FloatArray:
    """Values of a canonical unit in a dialect's unit.

    Parameters
    ----------
    values : ndarray, shape (n,)
        kPa, m/s, m/s2, °C, ratio, kg/s or as they stand.
    unit : str
        As in `dialects.toml`.
    ambient_kpa : float
        Zero of gauge pressures [kPa].
    stoichiometric_afr : float
        Air-fuel ratio at lambda 1 [kg/kg].
    """
    factors = {
        "km/h": 3.6,
        "mph": 3600.0 / 1609.344,
        "g": 1.0 / 9.80665,
        "%": 100.0,
        "bar": 0.01,
        "mbar": 10.0,
        "psi": 1.0 / 6.894757293168,
        "-deg": -1.0,
        "afr": stoichiometric_afr,
    }
    if unit == "F":
        return values * 1.8 + 32.0
    zeros_kpa = {"psi gauge": ambient_kpa, "psi over standard": STANDARD_KPA}
    if unit in zeros_kpa:
        return (values - zeros_kpa[unit]) / 6.894757293168
    return values * factors.get(unit, 1.0)


def _times(rows_s: FloatArray, form: str, started: datetime) -> list[str]:
    if form == "ms":
        return [f"{1000.0 * time_s:.0f}" for time_s in rows_s]
    if form == "clock":
        return [(started + timedelta(seconds=float(time_s))).strftime("%H:%M:%S.%f")[:-3] for time_s in rows_s]
    if form == "stamp":
        return [(started + timedelta(seconds=float(time_s))).isoformat(timespec="milliseconds") for time_s in rows_s]
    return [f"{time_s:.3f}" for time_s in rows_s]
