"""A column with what it was taken for: what each step of the matching hands on."""

from dataclasses import dataclass

from nextpass.log.channel import Match
from nextpass.log.column import Column
from nextpass.log.evidence import Conversion, Verdict

# A column is taken when name and unit together are at least this sure.
TAKEN = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """A column with its match and, where it is taken, its conversion."""

    column: Column
    match: Match
    conversion: Conversion | None


def question(
    column: Column, channel: str, verdict: Verdict, confidence: float, asks: str, choices: tuple[str, ...]
) -> Matched:
    """A column that waits for an answer; `channel` is the best guess."""
    match = Match(
        column=column.name,
        channel=channel,
        unit=verdict.unit,
        confidence=min(confidence, TAKEN - 0.01),
        reason=verdict.reason,
        question=asks,
        choices=choices,
    )
    return Matched(column=column, match=match, conversion=None)


def unmatched(column: Column, reason: str) -> Matched:
    """A column that is no channel."""
    match = Match(column=column.name, channel=None, unit=column.header.unit_text, confidence=0.0, reason=reason)
    return Matched(column=column, match=match, conversion=None)
