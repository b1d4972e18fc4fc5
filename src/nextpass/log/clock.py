"""What a column of times means in seconds: numbers with a unit, clock times, dates, or counted samples.

Where the unit is not written it is read from the step between rows, if only one unit gives a rate that a logger can
have; else the question goes back. A clock that passes midnight (or, written as minutes and seconds, the hour) goes on
rising.
"""

import re
from collections.abc import Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

from nextpass.log.channel import FloatArray
from nextpass.log.names import read_header
from nextpass.log.unread import Unread
from nextpass.units import Unit, unit_of
from nextpass.words import phrase

# Rates that a logger can have: below the first a pass has no shape, above the last nobody logs a whole car.
PLAUSIBLE_RATE_HZ = (0.19, 5200.0)
# The same where no unit is written: narrower, so that two units seldom fit one step.
LIKELY_RATE_HZ = (0.9, 2100.0)
SECONDS_A_DAY = 86400.0

# Words of a name that make it a time, and those that make it a count of samples.
_TIME = frozenset(
    {"time", "zeit", "timestamp", "timestamps", "zeitstempel", "elapsed", "uhrzeit", "t", "utc", "clock", "datetime"}
)
_TIME |= {
    "seconds",
    "sec",
    "secs",
    "sekunden",
    "ms",
    "millis",
    "milliseconds",
    "us",
    "micros",
    "epoch",
    "uptime",
    "messzeit",
}
_TIME |= {"datum", "date"}
_WITH_TIME = frozenset(
    {"log", "session", "run", "relative", "absolute", "gps", "system", "lap", "s", "engine", "local", "unix"}
)
_WITH_TIME |= {
    "stamp",
    "since",
    "start",
    "from",
    "logger",
    "offset",
    "ecu",
    "device",
    "record",
    "day",
    "in",
    "code",
    "total",
}
_COUNT = frozenset(
    {"sample", "samples", "index", "record", "row", "nr", "no", "zeile", "count", "frame", "messpunkt", "idx"}
)
_COUNT |= {"number", "entry", "line", "datensatz", "point", "scan", "#"}
_DURATIONS = frozenset(
    {"pulse", "width", "injector", "dwell", "open", "shift", "reaction", "response", "lag", "remaining", "left"}
)

_DATED = re.compile(r"^\d{4}[-/]\d\d[-/]\d\d[T ]+\d\d:\d\d")
_DATED_PATTERN = (
    r"^\s*(?P<year>\d{4})[-/](?P<month>\d\d)[-/](?P<day>\d\d)[T ]+(?P<hour>\d\d):(?P<minute>\d\d)"
    r"(?::(?P<second>\d\d(?:[.,]\d+)?))?\s*(?P<zone>Z|UTC|[+-]\d\d:?\d\d)?\s*$"
)
# A date whose day and month cannot be told apart is passed over: only midnight matters, and that shows by itself.
_CLOCK_PATTERN = (
    r"^\s*(?:\d{1,2}[./-]\d{1,2}[./-]\d{2,4}[T ,]+)?(?:(?P<hour>\d{1,3}):)?"
    r"(?P<minute>\d{1,3}):(?P<second>\d\d(?:[.,:]\d+)?)\s*(?P<half>[AaPp]\.?[Mm]\.?)?\s*$"
)


class UnclearTime(Unread):
    """The times cannot be read, or their unit cannot be told; `remedy` says what to write."""


def time_column(names: Sequence[str], units: Sequence[str]) -> int | None:
    """Index of the column that holds the times by its name, or that counts the samples; None where there is none."""
    found = [(score, -index) for index, name in enumerate(names) if (score := _time_score(name, units[index]))]
    return -max(found)[1] if found else None


def _time_score(name: str, unit: str) -> int:
    words = set(re.findall(r"[a-z#]+", name.lower()))
    header = read_header(name, unit)
    is_duration = bool(words & _DURATIONS)
    has_time_unit = any(each.quantity == "time" for each in header.units)
    rest = words - _TIME - _WITH_TIME - set(re.findall(r"[a-zµ]+", header.unit_text.lower()))
    if words & _TIME and not is_duration and not rest:
        # A date alone says less than a clock; a written unit makes it certain.
        return 1 if words <= {"date", "datum"} else 4 if has_time_unit else 3
    if words and words <= _COUNT:
        return 2
    return 0


def is_sample_count(name: str) -> bool:
    """Whether a column counts samples instead of giving times, by its name."""
    words = set(re.findall(r"[a-z#]+", name.lower()))
    return bool(words) and words <= _COUNT


def seconds_from_numbers(values: FloatArray, name: str, unit_text: str) -> tuple[FloatArray, str]:
    """Seconds, and a remark where the unit was not written.

    Parameters
    ----------
    values : ndarray, shape (n,)
        As written; nan where blank.
    name, unit_text : str
        Of the column.

    Raises
    ------
    UnclearTime
        No unit is written and none can be told, or the one that is written gives a rate that no logger has.
    """
    step = _median_step(values, name)
    written = [unit for unit in read_header(name, unit_text).units if unit.quantity == "time"] or _named_unit(name)
    if written:
        if _fits(step, written[0]):
            return written[0].to_canonical(values), ""
        raise UnclearTime(
            phrase("refusal.log.no_such_step", name=name, step=step, unit=written[0].name),
            phrase("refusal.log.say_time", name=name),
        )
    return _seconds_by_step(values, step, name)


def _median_step(values: FloatArray, name: str) -> float:
    """Usual step from row to row; of a file that begins with its newest row as well."""
    steps = np.diff(values[np.isfinite(values)])
    moving = steps[steps > 0] if (steps > 0).any() else -steps[steps < 0]
    if moving.size == 0:
        raise UnclearTime(
            phrase("refusal.log.never_rises", name=name),
            phrase("refusal.log.leave_out_time", name=name),
        )
    return float(np.median(moving))


def _named_unit(name: str) -> list[Unit]:
    word = name.strip().lower()
    known = ("seconds", "sec", "secs", "sekunden", "ms", "millis", "milliseconds", "us", "micros")
    return [unit_of(word, "time")] if word in known else []


def _fits(step: float, unit: Unit, rates_hz: tuple[float, float] = PLAUSIBLE_RATE_HZ) -> bool:
    low_hz, high_hz = rates_hz
    return low_hz <= 1.0 / (step * unit.scale) <= high_hz


def _seconds_by_step(values: FloatArray, step: float, name: str) -> tuple[FloatArray, str]:
    first = float(values[np.isfinite(values)][0])
    if 20_000 < first < 80_000 and step < 1e-3:
        return values * SECONDS_A_DAY, phrase("log.clock.calendar", column=name)
    for floor, unit_name in ((1e17, "ns"), (1e14, "µs"), (1e11, "ms"), (1e8, "s")):
        if first > floor:
            unit = unit_of(unit_name, "time")
            if _fits(step, unit):
                return unit.to_canonical(values - first), phrase("log.clock.epoch", column=name, unit=unit_name)
    fitting = [unit for each in ("s", "ms", "us") if _fits(step, unit := unit_of(each, "time"), LIKELY_RATE_HZ)]
    # A step under 0.9 is seconds with decimals: milliseconds that fine are faster than any log of a whole car.
    if step < 0.9 and fitting and fitting[0].name == "s":
        return values, phrase("log.clock.seconds", column=name, step=step)
    if len(fitting) == 1:
        remark = phrase("log.clock.steps", column=name, unit=fitting[0].name, step=step)
        return fitting[0].to_canonical(values), remark
    raise UnclearTime(
        phrase("refusal.log.step_untold", name=name, step=step),
        phrase("refusal.log.say_time", name=name),
    )


def seconds_from_text(cells: pl.Series) -> FloatArray:
    """Seconds from clock times or dates; nan where a cell cannot be read.

    Parameters
    ----------
    cells : polars.Series of str, shape (n,)

    Raises
    ------
    UnclearTime
        Most cells are no time.
    """
    sample = cells.drop_nulls().head(50).to_list()
    is_dated = sum(_DATED.match(cell.strip()) is not None for cell in sample) > len(sample) / 2
    parts = cells.str.extract_groups(_DATED_PATTERN if is_dated else _CLOCK_PATTERN).struct.unnest()
    second = _number(parts["second"].str.replace("[,:]", "."))
    of_day = _number(parts["hour"]) * 3600.0 + _number(parts["minute"]) * 60.0
    if is_dated:
        days = _days(parts)
        second = np.nan_to_num(second)
        times = (
            (days - np.nanmin(days) if np.isfinite(days).any() else days) * SECONDS_A_DAY
            + of_day
            + second
            - _zone(parts)
        )
    else:
        has_hours = bool(parts["hour"].is_not_null().any())
        of_day = np.nan_to_num(_number(parts["hour"])) * 3600.0 + _number(parts["minute"]) * 60.0
        times = _unrolled(of_day + second + _afternoon(parts), SECONDS_A_DAY if has_hours else 3600.0)
    if np.isfinite(times).sum() < 0.5 * times.size:
        raise UnclearTime(phrase("refusal.log.times_unread"), phrase("refusal.log.write_times"))
    return times


def _number(strings: pl.Series) -> FloatArray:
    return strings.cast(pl.Float64, strict=False).fill_null(np.nan).to_numpy()


def _days(parts: pl.DataFrame) -> FloatArray:
    dates = parts.select(
        pl.date(
            pl.col("year").cast(pl.Int32, strict=False),
            pl.col("month").cast(pl.Int32, strict=False),
            pl.col("day").cast(pl.Int32, strict=False),
        ).cast(pl.Int32)
    ).to_series()
    return dates.cast(pl.Float64).fill_null(np.nan).to_numpy()


def _zone(parts: pl.DataFrame) -> FloatArray:
    zone = parts["zone"].str.replace(":", "")
    minutes = _number(zone.str.slice(1, 2)) * 60.0 + _number(zone.str.slice(3, 2))
    sign = np.where((zone.str.slice(0, 1) == "-").fill_null(False).to_numpy(), -1.0, 1.0)
    return np.nan_to_num(sign * minutes * 60.0)


def _afternoon(parts: pl.DataFrame) -> FloatArray:
    half = parts["half"].str.to_lowercase().str.slice(0, 1)
    hour = np.nan_to_num(_number(parts["hour"]))
    is_afternoon = (half == "p").fill_null(False).to_numpy() & (hour < 12)
    is_after_midnight = (half == "a").fill_null(False).to_numpy() & (hour == 12)
    return np.where(is_afternoon, 43200.0, 0.0) - np.where(is_after_midnight, 43200.0, 0.0)


def _unrolled(times: FloatArray, period_s: float) -> FloatArray:
    """Times that go on rising where the clock starts over: a step back of more than half of its period."""
    finite = np.isfinite(times)
    steps = np.diff(times[finite], prepend=times[finite][:1])
    turns: NDArray[np.int64] = np.cumsum(steps < -period_s / 2) - np.cumsum(steps > period_s / 2)
    times = times.copy()
    times[finite] += np.maximum(turns, 0) * period_s
    return times
