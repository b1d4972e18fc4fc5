"""What is due again, counted in launches and days since it was last done, and what the tyres have been through."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from nextpass.car import LedgerEntry
from nextpass.health.figures import PassFigures

TYRES = "tyres"


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """One item with a term.

    Parameters
    ----------
    item : str
    since : datetime
        When it was last done.
    launches, days : float
        Gone since then, to the newest pass.
    launches_left, days_left : float or None
        Negative where it is over its term; None without one.
    """

    item: str
    since: datetime
    launches: float
    days: float
    launches_left: float | None
    days_left: float | None

    @property
    def is_due(self) -> bool:
        """Whether a term has run out."""
        return any(left is not None and left <= 0.0 for left in (self.launches_left, self.days_left))


def due_of(entries: Sequence[LedgerEntry], passes: Sequence[PassFigures]) -> tuple[Due, ...]:
    """Every item with a term, the nearest first.

    Parameters
    ----------
    entries : sequence of LedgerEntry
        The oldest first; the newest of an item counts.
    passes : sequence of PassFigures
        In the order in which they were run.
    """
    last = {entry.item: entry for entry in entries if entry.due_launches is not None or entry.due_days is not None}
    found = []
    for item, entry in last.items():
        launches, days = launches_since(entry.when, passes), _days_since(entry.when, passes)
        found.append(
            Due(
                item=item,
                since=entry.when,
                launches=launches,
                days=days,
                launches_left=None if entry.due_launches is None else entry.due_launches - launches,
                days_left=None if entry.due_days is None else entry.due_days - days,
            )
        )
    return tuple(sorted(found, key=_share_left))


def heat_cycles(entries: Sequence[LedgerEntry], passes: Sequence[PassFigures]) -> int:
    """Passes on the tyres that are fitted: since the newest entry of a part named ``tyres``, else all.

    Parameters
    ----------
    entries : sequence of LedgerEntry
    passes : sequence of PassFigures
    """
    fitted = [entry.when for entry in entries if entry.kind == "part" and TYRES in entry.item.lower()]
    return int(launches_since(fitted[-1], passes)) if fitted else len(passes)


def launches_since(when: datetime, passes: Sequence[PassFigures]) -> float:
    """Launches after a moment; a pass without a time counts, as it was brought in later.

    Parameters
    ----------
    when : datetime
    passes : sequence of PassFigures
    """
    return float(sum(one.started is None or _after(one.started, when) for one in passes))


def _days_since(when: datetime, passes: Sequence[PassFigures]) -> float:
    times = [one.started for one in passes if one.started is not None]
    return max((_seconds(time, when) / 86400.0 for time in times), default=0.0)


def _after(time: datetime, when: datetime) -> bool:
    return _seconds(time, when) > 0.0


def _seconds(time: datetime, when: datetime) -> float:
    """Time from one moment to another; where one of them has no zone, both are taken as the clock on the wall."""
    if (time.tzinfo is None) != (when.tzinfo is None):
        time, when = time.replace(tzinfo=None), when.replace(tzinfo=None)
    return (time - when).total_seconds()


def _share_left(due: Due) -> float:
    """Part of the term that is left, the shorter of the two."""
    shares = []
    if due.launches_left is not None:
        shares.append(due.launches_left / max(due.launches_left + due.launches, 1.0))
    if due.days_left is not None:
        shares.append(due.days_left / max(due.days_left + due.days, 1.0))
    return min(shares)
