"""The order of the matching, in which each column may rest on what is already certain.

First the names propose, then the values judge: the barometer before the pressures that count from it, the manifold
before its target, the accelerometer and stated speeds before speeds without a unit. A column is taken when name and
unit together are sure enough; one that is not is a question, and until it is answered the column is left out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from nextpass.log.answers import Answer
from nextpass.log.column import Column
from nextpass.log.evidence import Situation, situation_of
from nextpass.log.hints import LogHints
from nextpass.log.match.axles import with_axles_asked
from nextpass.log.match.banks import banks_of
from nextpass.log.match.judge import answered, judged
from nextpass.log.match.matched import TAKEN, Matched
from nextpass.log.match.rivals import without_rivals
from nextpass.log.names import NameMatch, name_matches
from nextpass.log.vocabulary import vocabulary

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
_DIMENSIONLESS = frozenset({"ratio", "mixture", "state"})


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
    banks = banks_of(columns, proposals, answers)
    proposals = {column.name: banks.proposals(column, proposals[column.name]) for column in columns}
    situation = situation_of(_anchors(columns, proposals, answers), hints)
    done: dict[str, Matched] = {}
    for column, proposal in _in_judging_order(columns, proposals, answers):
        answer = answers.get(column.name)
        if answer is not None:
            matched = answered(column, answer, situation)
        elif column.name in banks.open:
            matched = banks.asked(column)
        else:
            matched = banks.reasoned(judged(column, proposal, situation))
        done[column.name] = matched
        situation = _settled(situation, matched)
    return with_axles_asked(without_rivals([done[column.name] for column in columns], answers), hints, answers)


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


def _settled(situation: Situation, matched: Matched) -> Situation:
    """The situation with one more channel that later judges may rely on."""
    channel = matched.match.channel
    if channel == "gear" and matched.match.question:
        return replace(situation, gear=None)
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
        gear=replace(matched.column, time_s=known[0], values=known[1]) if channel == "gear" else situation.gear,
        gauge_zero_kpa=matched.conversion.offset if is_gauge else situation.gauge_zero_kpa,
        settled={**situation.settled, channel: known},
        units_seen={**situation.units_seen, quantity: units},
    )
