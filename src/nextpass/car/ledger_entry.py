"""What was done to a car or read from it by hand, between its passes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final, Literal

EntryKind = Literal["service", "part", "reset", "relearn", "learned", "codes", "note"]

ENTRY_KINDS: Final[tuple[EntryKind, ...]] = ("service", "part", "reset", "relearn", "learned", "codes", "note")
"""Work that comes due again; a part fitted, with what it is known by; trims and learning cleared; a learning procedure
run; learned values as the car shows them; trouble codes read or cleared; anything else worth keeping."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerEntry:
    """One entry by hand.

    Parameters
    ----------
    when : datetime
    kind : EntryKind
    item : str
        What it is about, such as ``gearbox oil``, ``clutch`` or ``wheel sensor front left``.
    values : Mapping[str, float or str]
        By the owner's own names, such as ``bite_point_a_mm`` or ``sensor_id``.
    due_launches, due_days : float or None
        When it is due again, counted from this entry.
    log : Path or None
        A log taken while it was done, in which the preconditions are checked.
    codes : tuple of str
        Trouble codes that stood then.
    state : str
        Of the codes: ``before`` or ``after`` clearing or repair, or empty.
    notes : str
    """

    when: datetime
    kind: EntryKind
    item: str
    values: Mapping[str, float | str]
    due_launches: float | None = None
    due_days: float | None = None
    log: Path | None = None
    codes: tuple[str, ...] = ()
    state: str = ""
    notes: str = ""
