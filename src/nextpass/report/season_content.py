"""What a whole season of a car shows its owner, in the reader's words and units: the one source of page and paper."""

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from nextpass.car import Car, LedgerEntry
from nextpass.health import Drift, Ledger, LimitPassed, ReadCode
from nextpass.health.launches import DOUBLES_PER_K, HOT_FROM_C, LAUNCHES_AT_GUARD
from nextpass.measure import Absent, Estimate
from nextpass.report.picture import TrendPicture, passes_picture, trend_picture
from nextpass.report.reader import Reader, Shown
from nextpass.report.runs import (
    RUN_CLOCKS,
    DayRuns,
    RunPass,
    clock_head,
    day_runs,
    run_clock,
    run_day,
    run_name,
    run_value,
)
from nextpass.report.season import drift_text, learned_text
from nextpass.review import Severity
from nextpass.words import NO_FIGURE, translated

_BEST = ("et_s", "t60ft_s", "trap_mps")
# Passes that a line about a limit names, the newest.
_MOST_NAMED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """All that is known of a car and its passes.

    Parameters
    ----------
    car : Car
    passes : tuple of RunPass
        In the order in which they were run.
    ledger : Ledger
        Of the same passes.
    codes : tuple of (LedgerEntry, tuple of ReadCode)
        Trouble codes that were kept, the oldest first.
    code_cautions : tuple of str
        What they ask for.
    has_days : bool
        False where dates are to be left out.
    left_out : tuple of str
        What is, in words.
    """

    car: Car
    passes: tuple[RunPass, ...]
    ledger: Ledger
    codes: tuple[tuple[LedgerEntry, tuple[ReadCode, ...]], ...]
    code_cautions: tuple[str, ...]
    has_days: bool
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BestRow:
    """The best that one clock showed, and in which pass."""

    label: str
    shown: Shown
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftContent:
    """One figure that drifts."""

    severity: str
    text: str
    picture: TrendPicture


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """One thing with a term."""

    item: str
    since: str
    launches: str
    days: str
    is_due: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeRow:
    """One trouble code that was kept."""

    day: str
    code: str
    meaning: str
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneRow:
    """Something that was done by hand: `values` are names and figures."""

    day: str
    item: str
    kind: str
    values: tuple[tuple[str, str], ...]
    notes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonContent:
    """Everything that the report of a car shows."""

    title: str
    car: str
    about: str
    best: tuple[BestRow, ...]
    ets: TrendPicture | None
    heads: tuple[str, ...]
    days: tuple[DayRuns, ...]
    setup: tuple[tuple[str, str], ...]
    drifts: tuple[DriftContent, ...]
    no_drift: str
    rest: tuple[str, ...]
    clutch: tuple[str, ...]
    clutch_model: str
    oils: tuple[tuple[str, str], ...]
    limits: tuple[tuple[str, str, str], ...]
    due: tuple[DueRow, ...]
    codes: tuple[CodeRow, ...]
    done: tuple[DoneRow, ...]
    cautions: tuple[str, ...]
    left_out: tuple[str, ...]


def season_content(season: Season, reader: Reader) -> SeasonContent:
    """Content of the report of a car.

    Parameters
    ----------
    season : Season
        With one pass at least.
    reader : Reader
        Language, units and barometer.

    Returns
    -------
    SeasonContent
        Ready to lay out.
    """
    ledger, newest = season.ledger, season.passes[-1].record
    names = {one.name: run_name(run, reader) for one, run in zip(ledger.passes, season.passes, strict=True)}
    drifting = [trend for trend in ledger.trends if trend.drift is Drift.DRIFTS]
    return SeasonContent(
        title=reader.says("season.title"),
        car=season.car.name,
        about=_about(season, reader),
        best=tuple(_best(season, reader)),
        ets=_ets(season, reader),
        heads=tuple(clock_head(name, reader) for name in RUN_CLOCKS),
        days=tuple(day_runs(season.passes, reader, has_days=season.has_days)),
        setup=tuple(
            (reader.adjuster_name(name), str(reader.adjuster_value(name, value)))
            for name, value in newest.setup.values.items()
        ),
        drifts=tuple(
            DriftContent(
                severity="watch" if trend.is_wear else "note",
                text=drift_text(trend, reader),
                picture=trend_picture(trend, reader),
            )
            for trend in drifting
        ),
        no_drift="" if drifting else reader.says("ledger.nothing_drifts", count=len(ledger.passes)),
        rest=tuple(_not_drifting(ledger, reader)),
        clutch=tuple(_clutch(ledger, names, reader)),
        clutch_model=reader.says(
            "ledger.model",
            launches=reader.number(LAUNCHES_AT_GUARD),
            doubles=reader.number(DOUBLES_PER_K),
            hot=reader.number(HOT_FROM_C),
        ),
        oils=tuple(_oils(ledger, reader)),
        limits=tuple(_limits(ledger, names, reader)),
        due=tuple(_due(season, reader)),
        codes=tuple(_codes(season, reader)),
        done=tuple(_done(season, reader)),
        cautions=(
            reader.says("caution.closed_course"),
            *(translated(one, reader.language) for one in season.code_cautions),
        ),
        left_out=tuple(translated(one, reader.language) for one in season.left_out),
    )


def _about(season: Season, reader: Reader) -> str:
    passes = season.passes
    days = list(dict.fromkeys(day for one in passes if (day := run_day(one)) is not None))
    parts = [reader.says("season.passes", count=len(passes))]
    if days:
        parts.append(reader.says("season.days", count=len(days)))
    if days and season.has_days:
        first, last = days[0].isoformat(), days[-1].isoformat()
        parts.append(first if first == last else reader.says("season.reach", low=first, high=last))
    return " · ".join(parts)


def _best(season: Season, reader: Reader) -> Iterator[BestRow]:
    for name in _BEST:
        known = [(value, one) for one in season.passes if (value := run_value(one, name)) is not None]
        if not known:
            continue
        pick = max if name.endswith("_mps") else min
        _, one = pick(known, key=lambda pair: pair[0])
        day = run_day(one)
        where = [run_name(one, reader), day.isoformat() if day is not None and season.has_days else ""]
        yield BestRow(
            label=reader.says(f"clock.{name}"),
            shown=run_clock(one, name, reader),
            where=", ".join(part for part in where if part),
        )


def _ets(season: Season, reader: Reader) -> TrendPicture | None:
    known = [(float(one.number), value) for one in season.passes if (value := run_value(one, "et_s")) is not None]
    if len(known) < 2:
        return None
    counts, values = zip(*known, strict=True)
    return passes_picture(clock_head("et_s", reader), counts, values, reader.says("day.passes"), reader)


def _not_drifting(ledger: Ledger, reader: Reader) -> Iterator[str]:
    for drift, key in ((Drift.STEADY, "steady"), (Drift.CANNOT_TELL, "cannot_tell")):
        names = [reader.says(f"ledger.figure.{trend.name}") for trend in ledger.trends if trend.drift is drift]
        if names:
            yield reader.says(f"ledger.{key}", names=", ".join(names))


def _clutch(ledger: Ledger, names: Mapping[str, str], reader: Reader) -> Iterator[str]:
    used = ledger.consumption
    if isinstance(used.energy_j, Absent):
        yield translated(used.energy_j.reason, reader.language)
        return
    shares = {
        name: reader.number(100.0 * share.value, 2) if isinstance(share, Estimate) else NO_FIGURE
        for name, share in (("all", used.life_share), ("hardest", used.hardest_share), ("median", used.median_share))
    }
    yield reader.says(
        "ledger.total",
        count=used.launches,
        energy=reader.number(used.energy_j.value * 1e-6, 2),
        share=shares["all"],
    )
    hardest = next((one.launch for one in ledger.passes if one.name == used.hardest), None)
    if hardest is not None and isinstance(hardest.energy_j, Estimate):
        yield reader.says(
            "ledger.consumption",
            name=names.get(used.hardest, used.hardest),
            energy=reader.number(hardest.energy_j.value * 1e-3),
            share=shares["hardest"],
            median=shares["median"],
        )


def _oils(ledger: Ledger, reader: Reader) -> Iterator[tuple[str, str]]:
    for residency in ledger.residency:
        edges = [reader.number(edge) for edge in residency.edges_c]
        bands = [
            reader.says("ledger.band.below", edge=edges[0]),
            *(reader.says("ledger.band.between", low=low, high=high) for low, high in itertools.pairwise(edges)),
            reader.says("ledger.band.above", edge=edges[-1]),
        ]
        parts = [
            f"{band} {reader.number(seconds)} s"
            for band, seconds in zip(bands, residency.seconds, strict=True)
            if seconds > 0.0
        ]
        yield reader.says(f"ledger.oil.{residency.channel}"), " · ".join(parts) or NO_FIGURE


def _limits(ledger: Ledger, names: Mapping[str, str], reader: Reader) -> Iterator[tuple[str, str, str]]:
    """Weight, what was passed, and in which passes; the gravest first."""
    by_code: dict[str, list[tuple[str, LimitPassed]]] = {}
    for name, limit in ledger.limits_passed:
        by_code.setdefault(limit.code, []).append((name, limit))
    order = list(Severity)
    gravest = {code: min((limit.severity for _, limit in found), key=order.index) for code, found in by_code.items()}
    for code in sorted(by_code, key=lambda code: order.index(gravest[code])):
        passes = list(dict.fromkeys(names.get(name, name) for name, _ in by_code[code]))
        named = ", ".join(passes[-_MOST_NAMED:])
        if len(passes) > _MOST_NAMED:
            named = reader.says("season.and_older", names=named, count=len(passes) - _MOST_NAMED)
        yield gravest[code].value, reader.says(f"ledger.limit.{code}"), named


def _due(season: Season, reader: Reader) -> Iterator[DueRow]:
    for due in season.ledger.due:
        yield DueRow(
            item=due.item,
            since=reader.says("ledger.since", day=f"{due.since:%Y-%m-%d}") if season.has_days else "",
            launches=NO_FIGURE if due.launches_left is None else reader.number(due.launches_left),
            days=NO_FIGURE if due.days_left is None else reader.number(due.days_left),
            is_due=due.is_due,
        )


def _codes(season: Season, reader: Reader) -> Iterator[CodeRow]:
    for entry, codes in season.codes:
        state = reader.says(f"compare.{entry.state}") if entry.state else ""
        about = ", ".join(part for part in (state, entry.item) if part)
        for one in codes:
            yield CodeRow(
                day=_when(entry.when, season),
                code=str(one.code),
                meaning=translated(one.meaning, reader.language),
                about=about if about != str(one.code) else "",
            )


def _done(season: Season, reader: Reader) -> Iterator[DoneRow]:
    for entry in season.ledger.entries:
        if entry.codes:
            continue
        learned = {name.replace("_", " "): learned_text(value, reader) for name, value in entry.values.items()}
        yield DoneRow(
            day=_when(entry.when, season),
            item=entry.item,
            kind=reader.says(f"entries.kind.{entry.kind}"),
            values=tuple(learned.items()),
            notes=entry.notes,
        )


def _when(when: datetime, season: Season) -> str:
    return f"{when:%Y-%m-%d}" if season.has_days else ""
