"""One column: its channel by its name, its unit by its values or by a person's answer, or the question that is left."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from nextpass.log.answers import LEFT_OUT, TIME, Answer
from nextpass.log.channel import Match
from nextpass.log.column import Column
from nextpass.log.evidence import (
    DOUBTFUL,
    Conversion,
    Situation,
    Verdict,
    is_plausible,
    judge_acceleration,
    judge_gear,
    judge_mixture,
    judge_plain,
    judge_pressure,
    judge_ratio,
    judge_speed,
    judge_temperature,
    pressure_as_told,
)
from nextpass.log.match.matched import TAKEN, Matched, question, unmatched
from nextpass.log.match.sentinels import without_sentinels
from nextpass.log.names import NameMatch
from nextpass.log.vocabulary import ChannelKind, vocabulary
from nextpass.units import Unit, canonical_unit, unit_of
from nextpass.words import phrase

# Below this a name is too far from any channel to be worth a question.
ASKED = 0.45
_JUDGES = {
    "pressure": judge_pressure,
    "speed": judge_speed,
    "mixture": judge_mixture,
    "temperature": judge_temperature,
    "ratio": judge_ratio,
    "acceleration": judge_acceleration,
}
_OWN_JUDGES = {"gear": judge_gear, "target_gear": judge_gear}


def judged(column: Column, proposals: Sequence[NameMatch], situation: Situation) -> Matched:
    """What the column's name and values show.

    Parameters
    ----------
    column : Column
    proposals : sequence of NameMatch
        Channels that its name may mean, best first.
    situation : Situation
        What the rest of the log shows.
    """
    if column.is_empty:
        return unmatched(column, phrase("log.match.empty"))
    own = _own_channel(column)
    if own is not None:
        return own
    if not proposals:
        return unmatched(column, phrase("log.match.no_channel"))
    best = proposals[0]
    if best.score < ASKED:
        return unmatched(column, phrase("log.match.nearest", channel=best.channel))
    kind = vocabulary().channels[best.channel]
    if column.header.unit_text and not column.header.units:
        return _unknown_unit(column, best, kind)
    verdict = _verdict(column, kind, situation)
    confidence = best.score * verdict.confidence
    if verdict.question:
        choices = tuple(_as_answer(best.channel, choice) for choice in verdict.choices)
        return question(column, best.channel, verdict, confidence, verdict.question, choices)
    if confidence < TAKEN:
        asks = phrase("log.match.says_more", channel=best.channel)
        return question(column, best.channel, verdict, confidence, asks, tuple(each.channel for each in proposals[:3]))
    named = "log.match.by_name" if best.score == 1.0 else "log.match.nearly"
    match = Match(
        column=column.name,
        channel=best.channel,
        unit=verdict.unit,
        confidence=confidence,
        reason=phrase(named, alias=best.alias, reason=verdict.reason),
        remark=verdict.remark,
    )
    return Matched(column=column, match=match, conversion=verdict.conversion)


def _verdict(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    seen, blank = without_sentinels(column)
    judge = _OWN_JUDGES.get(kind.name) or _JUDGES.get(kind.quantity)
    verdict = judge_plain(seen, kind) if judge is None else judge(seen, kind, situation)
    return replace(verdict, conversion=replace(verdict.conversion, blank=blank))


def _as_answer(channel: str, choice: str) -> str:
    return choice if choice == LEFT_OUT else f"{channel}:{choice}" if choice else channel


def _unknown_unit(column: Column, best: NameMatch, kind: ChannelKind) -> Matched:
    """A unit that is written and not known is never passed over: the values would pass for the nearest known one."""
    text = column.header.unit_text
    reason = phrase("log.match.no_unit", unit=text)
    verdict = Verdict(conversion=Conversion(), unit=text, confidence=DOUBTFUL, reason=reason)
    choices = (_as_answer(best.channel, canonical_unit(kind.quantity).name), LEFT_OUT)
    asks = phrase("log.match.which_unit", unit=text)
    return question(column, best.channel, verdict, best.score * DOUBTFUL, asks, choices)


def _own_channel(column: Column) -> Matched | None:
    """A column of a file that nextpass wrote: its name is the channel's, its unit the one in the name."""
    kind = vocabulary().channels.get(column.name) if column.is_own else None
    if kind is None or not is_plausible(column.values, kind):
        return None
    unit = canonical_unit(kind.quantity).name
    reason = phrase("log.match.own")
    match = Match(column=column.name, channel=kind.name, unit=unit, confidence=1.0, reason=reason)
    return Matched(column=column, match=match, conversion=Conversion())


def answered(column: Column, answer: Answer, situation: Situation) -> Matched:
    """What a person said that the column is; the values still tell the unit where the answer leaves it open."""
    if answer.channel in {LEFT_OUT, TIME}:
        return unmatched(column, phrase("log.match.left_out"))
    kind = vocabulary().channels[answer.channel]
    told = NameMatch(channel=kind.name, alias=column.name, score=1.0)
    unit = unit_of(answer.unit, kind.quantity) if answer.unit else None
    if unit is None and kind.quantity == "state":
        # A switch or a gear has no unit to be told: what it is called settles it.
        return _told(column, kind, "", Conversion(), answer)
    if unit is None or not np.isfinite(unit.scale):
        return judged(column, (told,), situation)
    if kind.reference in {"absolute", "gauge"}:
        return _pressure_answered(column, kind, unit, answer, situation)
    conversion = Conversion(scale=unit.scale, offset=unit.offset, is_inverse=unit.is_inverse)
    return _told(column, kind, str(unit), conversion, answer)


def _pressure_answered(column: Column, kind: ChannelKind, unit: Unit, answer: Answer, situation: Situation) -> Matched:
    seen, _ = without_sentinels(column)
    if not unit.reference:
        header = replace(seen.header, units=(unit,), unit_text=str(unit), reference=unit.reference)
        told = NameMatch(channel=kind.name, alias=column.name, score=1.0)
        return judged(replace(column, header=header), (told,), situation)
    verdict = pressure_as_told(seen, unit, kind, situation)
    if verdict.question:
        choices = tuple(_as_answer(kind.name, choice) for choice in verdict.choices)
        return question(column, kind.name, verdict, verdict.confidence, verdict.question, choices)
    return _told(column, kind, verdict.unit, verdict.conversion, answer)


def _told(column: Column, kind: ChannelKind, unit: str, conversion: Conversion, answer: Answer) -> Matched:
    if answer.is_turned:
        conversion = replace(conversion, scale=-conversion.scale, offset=-conversion.offset)
    _, blank = without_sentinels(column)
    reason = phrase("log.match.answered")
    match = Match(column=column.name, channel=kind.name, unit=unit, confidence=1.0, reason=reason)
    return Matched(column=column, match=match, conversion=replace(conversion, blank=blank))
