"""The passes of a day in a table: clocks, findings by weight, and what was turned before each."""

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

from nextpass.car import Conditions, PassRecord
from nextpass.measure import Estimate
from nextpass.report.picture import mark_svg
from nextpass.report.reader import Reader, Shown
from nextpass.report.setting import setup_steps
from nextpass.review import ReviewedPass, Severity, Timeslip

RUN_CLOCKS = ("t60ft_s", "t660ft_s", "et_s", "trap_mps")
# Strips give three decimals.
_STRIP_DECIMALS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPass:
    """One pass.

    Parameters
    ----------
    number : str
        By which the reader knows it.
    record : PassRecord
        Its file, without what is to be left out.
    slip : Timeslip
        What the log shows.
    findings : Mapping[Severity, int]
        How many of each weight.
    """

    number: str
    record: PassRecord
    slip: Timeslip
    findings: Mapping[Severity, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRow:
    """One pass: its clocks in the order of `RUN_CLOCKS`, findings by weight, what was turned before it."""

    name: str
    time: str
    clocks: tuple[Shown, ...]
    findings: tuple[tuple[str, str], ...]
    changes: tuple[str, ...]
    notes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRuns:
    """The passes of one day."""

    title: str
    conditions: str
    runs: tuple[RunRow, ...]


def run_pass(reviewed: ReviewedPass, number: str) -> RunPass:
    """A reviewed pass for the table.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its review.
    number : str
        By which the reader knows it.
    """
    found = Counter(finding.severity for finding in reviewed.review.findings)
    return RunPass(number=number, record=reviewed.record, slip=reviewed.review.timeslip, findings=found)


def day_runs(passes: Sequence[RunPass], reader: Reader, *, has_days: bool = True) -> Iterator[DayRuns]:
    """Passes by day, each with its clocks and what was turned since the pass before it.

    Parameters
    ----------
    passes : sequence of RunPass
        In the order in which they were run.
    reader : Reader
        Language and units.
    has_days : bool
        False where days are counted and not named.
    """
    befores = iter((None, *(one.record for one in passes)))
    for count, (day, group) in enumerate(itertools.groupby(passes, key=run_day), start=1):
        runs = list(group)
        yield DayRuns(
            title=_day_title(day if has_days else None, count, runs, reader),
            conditions=_conditions([one.record.conditions for one in runs], reader),
            runs=tuple(_run(one, next(befores), reader, has_days=has_days) for one in runs),
        )


def runs_html(days: Sequence[DayRuns], heads: Sequence[str], reader: Reader) -> str:
    """Passes by day as tables.

    Parameters
    ----------
    days : sequence of DayRuns
        Of a season, or one day.
    heads : sequence of str
        Of the clocks.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup; classes are those of ``page.css``.
    """
    return "".join(_day_html(day, heads, reader) for day in days)


def plus_minus_text(shown: Shown) -> str:
    """The ± of a value with its sign; empty where it has none."""
    return f"±{shown.plus_minus}" if shown.plus_minus else ""


def _day_html(day: DayRuns, heads: Sequence[str], reader: Reader) -> str:
    clocks = "".join(f'<th scope="col">{escape(head)}</th>' for head in heads)
    head = f'<thead><tr><th scope="col">{escape(reader.says("passes.pass"))}</th>{clocks}</tr></thead>'
    rows = "".join(_run_html(run, reader) for run in day.runs)
    return (
        f'<h3>{escape(day.title)}</h3><p class="soft">{escape(day.conditions)}</p>'
        f'<table class="runs">{head}{rows}</table>'
    )


def _run_html(run: RunRow, reader: Reader) -> str:
    cells = "".join(
        f'<td><b>{escape(clock.value)}</b><span class="soft"> {escape(plus_minus_text(clock))}</span></td>'
        for clock in run.clocks
    )
    found = " ".join(f"<span>{mark_svg(weight)} {escape(said)}</span>" for weight, said in run.findings)
    more = " · ".join((found or escape(reader.says("season.clean")), *(escape(change) for change in run.changes)))
    notes = f" <q>{escape(run.notes)}</q>" if run.notes else ""
    time = f' <span class="soft">{escape(run.time)}</span>' if run.time else ""
    return (
        f'<tbody><tr><th scope="row">{escape(run.name)}{time}</th>{cells}</tr>'
        f'<tr class="run-more"><td colspan="{len(run.clocks) + 1}">{more}{notes}</td></tr></tbody>'
    )


def run_name(one: RunPass, reader: Reader) -> str:
    """What the reader calls a pass."""
    return reader.says("pass.title", number=one.number)


def run_day(one: RunPass) -> date | None:
    """Day of a pass by its file's own clock; None where the file does not say."""
    return None if one.record.started is None else one.record.started.date()


def _day_title(day: date | None, count: int, runs: Sequence[RunPass], reader: Reader) -> str:
    said = reader.says("season.day", count=count) if day is None else day.isoformat()
    places = dict.fromkeys(one.record.strip for one in runs if one.record.strip)
    return " · ".join((said, *places))


def _conditions(days: Sequence[Conditions], reader: Reader) -> str:
    def reach(values: Sequence[float], decimals: int) -> str:
        low, high = (reader.number(end, decimals) for end in (min(values), max(values)))
        return low if low == high else reader.says("season.reach", low=low, high=high)

    return reader.says(
        "card.day",
        air=reach([day.air_temperature_c for day in days], 1),
        pressure=f"{reach([day.pressure_kpa for day in days], 1)} kPa",
        humidity=reach([day.humidity * 100.0 for day in days], 0),
        track=reach([day.track_temperature_c for day in days], 0),
    )


def _run(one: RunPass, before: PassRecord | None, reader: Reader, *, has_days: bool) -> RunRow:
    record = one.record
    return RunRow(
        name=run_name(one, reader),
        time="" if record.started is None or not has_days else record.started.strftime("%H:%M"),
        clocks=tuple(run_clock(one, name, reader) for name in RUN_CLOCKS),
        findings=tuple(
            (severity.value, f"{one.findings[severity]} {reader.says(f'severity.{severity.value}')}")
            for severity in Severity
            if one.findings.get(severity)
        ),
        changes=() if before is None else tuple(setup_steps(before.setup, record.setup, reader)),
        notes=record.notes,
    )


def _strip_value(one: RunPass, name: str) -> float | None:
    return None if one.record.clocks is None else getattr(one.record.clocks, name)


def run_clock(one: RunPass, name: str, reader: Reader) -> Shown:
    """The strip's own clock where there is one, else what the log shows with its ±."""
    strip = _strip_value(one, name)
    if strip is None:
        return reader.clock(name, getattr(one.slip, name))
    if name.endswith("_mps"):
        return Shown(value=reader.speed(strip), unit=reader.speed_unit)
    return Shown(value=reader.number(strip, _STRIP_DECIMALS), unit="s")


def run_value(one: RunPass, name: str) -> float | None:
    """What one clock showed: the strip's own where there is one, else the log's; None without either."""
    strip, log = _strip_value(one, name), getattr(one.slip, name)
    return strip if strip is not None else log.value if isinstance(log, Estimate) else None


def clock_head(name: str, reader: Reader) -> str:
    """Name of a clock with its unit."""
    return f"{reader.says(f'clock.{name}')} [{reader.speed_unit if name.endswith('_mps') else 's'}]"
