"""Which channel each column is, in which unit, how sure that is and why; and what must be asked.

First the names propose, then the values judge, in an order that lets each use what is already certain: the barometer
before the pressures that count from it, the manifold before its target, the accelerometer and stated speeds before
speeds without a unit. A column is taken when name and unit together are sure enough; one that is not is a question,
and until it is answered the column is left out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from nextpass.log.answers import LEFT_OUT, TIME, Answer
from nextpass.log.channel import Match
from nextpass.log.column import SENTINELS, Column
from nextpass.log.evidence import (
    DOUBTFUL,
    FEWEST_READINGS,
    Conversion,
    Situation,
    Verdict,
    is_plausible,
    judge_acceleration,
    judge_mixture,
    judge_plain,
    judge_pressure,
    judge_ratio,
    judge_speed,
    judge_temperature,
    pressure_as_told,
    situation_of,
)
from nextpass.log.hints import LogHints
from nextpass.log.names import NameMatch, name_matches
from nextpass.log.vocabulary import ChannelKind, vocabulary
from nextpass.units import canonical_unit, unit_of

TAKEN = 0.75
# Below this a name is too far from any channel to be worth a question.
ASKED = 0.45
# The order in which channels are judged; what is not named comes last.
_FIRST = (
    "engine_rpm",
    "barometric_pressure_kpa",
    "gear",
    "longitudinal_acceleration_mps2",
    "gps_speed_mps",
    "vehicle_speed_mps",
    "manifold_pressure_kpa",
)
_JUDGES = {
    "pressure": judge_pressure,
    "speed": judge_speed,
    "mixture": judge_mixture,
    "temperature": judge_temperature,
    "ratio": judge_ratio,
    "acceleration": judge_acceleration,
}
# Two columns of one channel that agree within this share of their span are the same measurement.
SAME_SHARE = 0.03
_DIMENSIONLESS = frozenset({"ratio", "mixture", "state"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """A column with its match and, where it is taken, its conversion."""

    column: Column
    match: Match
    conversion: Conversion | None


def match_columns(columns: Sequence[Column], hints: LogHints, answers: Mapping[str, Answer]) -> tuple[Matched, ...]:
    """A match for every column, in the order of the file.

    Parameters
    ----------
    columns : sequence of Column
    hints : LogHints
    answers : Mapping[str, Answer]
        By column name; an answer goes before everything that the values show.
    """
    proposals = {column.name: _proposals(column) for column in columns}
    situation = situation_of(_anchors(columns, proposals, answers), hints)
    done: dict[str, Matched] = {}
    for column, proposal in _in_judging_order(columns, proposals, answers):
        answer = answers.get(column.name)
        matched = _answered(column, answer, situation) if answer is not None else _judged(column, proposal, situation)
        done[column.name] = matched
        situation = _settled(situation, matched)
    return _without_rivals([done[column.name] for column in columns], answers)


def _proposals(column: Column) -> tuple[NameMatch, ...]:
    """Channels that the name may mean and whose quantity the written unit does not rule out."""
    return tuple(match for match in name_matches(column.header.words) if _unit_allows(column, match.channel))


def _unit_allows(column: Column, channel: str) -> bool:
    quantity = vocabulary().channels[channel].quantity
    units = column.header.units
    if not units or any(unit.quantity == quantity for unit in units):
        return True
    if quantity in _DIMENSIONLESS and any(unit.quantity == "state" for unit in units):
        return True
    # The speed of a wheel may come in turns.
    return channel.startswith("wheel_speed") and any(unit.quantity == "rotation" for unit in units)


def _anchors(
    columns: Sequence[Column], proposals: Mapping[str, Sequence[NameMatch]], answers: Mapping[str, Answer]
) -> Mapping[str, Column]:
    """The column of each channel whose name leaves no doubt: the first of the file."""
    anchors: dict[str, Column] = {}
    for column in columns:
        answer = answers.get(column.name)
        found = proposals[column.name]
        channel = (
            answer.channel if answer is not None else found[0].channel if found and found[0].score > TAKEN else None
        )
        if channel is not None and not column.is_empty:
            anchors.setdefault(channel, column)
    rpm = anchors.get("engine_rpm")
    if rpm is not None:
        turns = next((unit for unit in rpm.header.units if unit.quantity == "rotation"), None)
        scale = turns.scale if turns is not None else 1000.0 if rpm.high < 15.0 else 1.0
        anchors["engine_rpm"] = replace(rpm, values=rpm.values * scale, low=rpm.low * scale, high=rpm.high * scale)
    return anchors


def _in_judging_order(
    columns: Sequence[Column], proposals: Mapping[str, tuple[NameMatch, ...]], answers: Mapping[str, Answer]
) -> list[tuple[Column, tuple[NameMatch, ...]]]:
    def rank(column: Column) -> tuple[int, bool]:
        found = proposals[column.name]
        answer = answers.get(column.name)
        channel = answer.channel if answer is not None else found[0].channel if found else ""
        place = _FIRST.index(channel) if channel in _FIRST else len(_FIRST)
        # Within one channel a column with a unit helps to judge one without.
        return place, not column.header.units

    return [(column, proposals[column.name]) for column in sorted(columns, key=rank)]


def _judged(column: Column, proposals: Sequence[NameMatch], situation: Situation) -> Matched:
    if column.is_empty:
        return _unmatched(column, "it holds no reading")
    own = _own_channel(column)
    if own is not None:
        return own
    if not proposals:
        return _unmatched(column, "no channel is called so")
    best = proposals[0]
    if best.score < ASKED:
        return _unmatched(column, f"no channel is called so; nearest is {best.channel}")
    kind = vocabulary().channels[best.channel]
    if column.header.unit_text and not column.header.units:
        return _unknown_unit(column, best, kind)
    seen, conversion = _without_sentinels(column)
    judge = _JUDGES.get(kind.quantity)
    verdict = judge_plain(seen, kind) if judge is None else judge(seen, kind, situation)
    verdict = replace(verdict, conversion=replace(verdict.conversion, blank=conversion.blank))
    confidence = best.score * verdict.confidence
    if verdict.question:
        choices = tuple(f"{best.channel}:{choice}" if choice else best.channel for choice in verdict.choices)
        return _question(column, best, verdict, confidence, verdict.question, choices)
    if confidence < TAKEN:
        question = f"is it {best.channel}? The name says more than that"
        channels = [match.channel for match in proposals[:3]]
        return _question(column, best, verdict, confidence, question, tuple(channels))
    named = "by its name" if best.score == 1.0 else f"nearly by its name (as {best.alias!r})"
    return Matched(
        column=column,
        match=Match(
            column=column.name,
            channel=best.channel,
            unit=verdict.unit,
            confidence=confidence,
            reason=f"{named}; {verdict.reason}",
            remark=verdict.remark,
        ),
        conversion=verdict.conversion,
    )


def _unknown_unit(column: Column, best: NameMatch, kind: ChannelKind) -> Matched:
    """A unit that is written and not known is never passed over: the values would pass for the nearest known one."""
    text = column.header.unit_text
    verdict = Verdict(
        conversion=Conversion(), unit=text, confidence=DOUBTFUL, reason=f"{text!r} is no unit that is known"
    )
    question = f"{text!r} is no unit that is known: which one is it?"
    choices = (f"{best.channel}:{canonical_unit(kind.quantity).name}", LEFT_OUT)
    return _question(column, best, verdict, best.score * DOUBTFUL, question, choices)


def _own_channel(column: Column) -> Matched | None:
    """A column of a file that nextpass wrote: its name is the channel's, its unit the one in the name."""
    kind = vocabulary().channels.get(column.name) if column.is_own else None
    if kind is None or not is_plausible(column.values, kind):
        return None
    unit = canonical_unit(kind.quantity).name
    match = Match(column=column.name, channel=kind.name, unit=unit, confidence=1.0, reason="the channel's own name")
    return Matched(column=column, match=match, conversion=Conversion())


def _question(
    column: Column, best: NameMatch, verdict: Verdict, confidence: float, question: str, choices: tuple[str, ...]
) -> Matched:
    match = Match(
        column=column.name,
        channel=best.channel,
        unit=verdict.unit,
        confidence=min(confidence, TAKEN - 0.01),
        reason=verdict.reason,
        question=question,
        choices=choices,
    )
    return Matched(column=column, match=match, conversion=None)


def _unmatched(column: Column, reason: str) -> Matched:
    match = Match(column=column.name, channel=None, unit=column.header.unit_text, confidence=0.0, reason=reason)
    return Matched(column=column, match=match, conversion=None)


def _without_sentinels(column: Column) -> tuple[Column, Conversion]:
    """The column without the readings that loggers write for "no value", where they lie far from all others."""
    ends = [value for value in (column.low, column.high) if value in SENTINELS]
    if not ends or column.low == column.high:
        return column, Conversion()
    inner = column.values[~np.isin(column.values, ends)]
    if inner.size == 0:
        return column, Conversion()
    span = float(np.ptp(inner)) + abs(float(np.median(inner)))
    # Far from all other readings: a ramp that ends at 255 is no sign for "no value".
    blank = tuple(value for value in ends if min(abs(value - inner.min()), abs(value - inner.max())) > max(span, 1.0))
    if not blank:
        return column, Conversion()
    keep = ~np.isin(column.values, blank)
    kept = column.values[keep]
    seen = replace(column, values=kept, time_s=column.time_s[keep], low=float(kept.min()), high=float(kept.max()))
    return seen, Conversion(blank=blank)


def _answered(column: Column, answer: Answer, situation: Situation) -> Matched:
    if answer.channel in {LEFT_OUT, TIME}:
        return _unmatched(column, "left out by answer")
    kind = vocabulary().channels[answer.channel]
    told = NameMatch(channel=kind.name, alias=column.name, score=1.0)
    unit = unit_of(answer.unit, kind.quantity) if answer.unit else None
    if unit is None or not np.isfinite(unit.scale):
        return _judged(column, (told,), situation)
    seen, sentinels = _without_sentinels(column)
    if kind.reference in {"absolute", "gauge"}:
        header = replace(seen.header, units=(unit,), unit_text=str(unit), reference=unit.reference)
        if not unit.reference:
            return _judged(replace(column, header=header), (told,), situation)
        verdict = pressure_as_told(seen, unit, kind, situation)
        if verdict.question:
            choices = tuple(f"{kind.name}:{choice}" for choice in verdict.choices)
            return _question(column, told, verdict, verdict.confidence, verdict.question, choices)
        conversion, shown = verdict.conversion, verdict.unit
    else:
        conversion, shown = Conversion(scale=unit.scale, offset=unit.offset, is_inverse=unit.is_inverse), str(unit)
    if answer.is_turned:
        conversion = replace(conversion, scale=-conversion.scale, offset=-conversion.offset)
    return Matched(
        column=column,
        match=Match(column=column.name, channel=kind.name, unit=shown, confidence=1.0, reason="by answer"),
        conversion=replace(conversion, blank=sentinels.blank),
    )


def _settled(situation: Situation, matched: Matched) -> Situation:
    """The situation with one more channel that later judges may rely on."""
    channel = matched.match.channel
    if matched.conversion is None or channel is None or channel in situation.settled:
        return situation
    values = matched.conversion.apply(matched.column.values)
    is_read = np.isfinite(values)
    known = (matched.column.time_s[is_read], values[is_read])
    if not is_read.any():
        return situation
    quantity = vocabulary().channels[channel].quantity
    units = situation.units_seen.get(quantity, frozenset()) | {matched.match.unit}
    # What a gauge manifold pressure counts from is just what its conversion adds.
    is_gauge = channel == "manifold_pressure_kpa" and " gauge" in matched.match.unit
    return replace(
        situation,
        gauge_zero_kpa=matched.conversion.offset if is_gauge else situation.gauge_zero_kpa,
        settled={**situation.settled, channel: known},
        units_seen={**situation.units_seen, quantity: units},
    )


def _without_rivals(matched: Sequence[Matched], answers: Mapping[str, Answer]) -> tuple[Matched, ...]:
    """At most one column a channel: the surest; the others are the same measurement again, or a question."""
    best: dict[str, Matched] = {}
    for each in matched:
        channel = each.match.channel
        if each.conversion is None or channel is None:
            continue
        if channel not in best or each.match.confidence > best[channel].match.confidence:
            best[channel] = each
    return tuple(_against(each, best, answers) for each in matched)


def _against(each: Matched, best: Mapping[str, Matched], answers: Mapping[str, Answer]) -> Matched:
    channel = each.match.channel
    if each.conversion is None or channel is None or best[channel] is each:
        return each
    winner = best[channel]
    if _is_same(each, winner) or winner.column.name in answers:
        match = replace(each.match, channel=None, confidence=0.0, reason=f"{winner.column.name!r} is already {channel}")
        return Matched(column=each.column, match=match, conversion=None)
    return _question(
        each.column,
        NameMatch(channel=channel, alias="", score=1.0),
        Verdict(
            conversion=Conversion(),
            unit=each.match.unit,
            confidence=0.0,
            reason="two columns of one channel that differ",
        ),
        DOUBTFUL,
        f"{winner.column.name!r} was taken as {channel}, and this one reads otherwise: which is it?",
        (f"{channel}:{each.match.unit}", LEFT_OUT),
    )


def _is_same(one: Matched, other: Matched) -> bool:
    if one.conversion is None or other.conversion is None:
        return False
    mine = one.conversion.apply(one.column.values)
    theirs = other.conversion.apply(other.column.at(one.column.time_s))
    both = np.isfinite(mine) & np.isfinite(theirs)
    if both.sum() < FEWEST_READINGS:
        return False
    span = max(float(np.ptp(theirs[both])), 1e-9)
    return float(np.median(np.abs(mine[both] - theirs[both]))) <= SAME_SHARE * span
