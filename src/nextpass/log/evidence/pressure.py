"""How a pressure column becomes a channel: unit, what it counts from, and the barometer between the two.

Channels are absolute or gauge as the vocabulary says; a log may have the other. A log without a barometer cannot turn
one into the other, and is not helped by a guess.
"""

from dataclasses import replace

from nextpass.log.column import Column
from nextpass.log.evidence.gauge_zero import find_gauge_zero
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.pressure_reference import IN_USE, FoundReference, find_reference
from nextpass.log.evidence.situation import Situation
from nextpass.log.evidence.verdict import (
    BY_VALUES,
    CONFIRMED,
    WRITTEN,
    Conversion,
    Verdict,
    asked,
    conversion_of,
    impossible,
    together,
)
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import Unit, unit_of
from nextpass.words import phrase


def judge_pressure(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for a pressure."""
    unit = written_unit(column, kind)
    if kind.name == "barometric_pressure_kpa":
        return _judge_barometer(column, kind, unit)
    if unit is None:
        return _judge_without_unit(column, kind, situation)
    if kind.reference == "as logged":
        return _judge_as_logged(column, kind, unit)
    found = find_reference(column, kind, unit, situation)
    if isinstance(found, Verdict):
        return found
    return _verdict(column, kind, unit, found, situation)


def pressure_as_told(column: Column, unit: Unit, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for a pressure whose unit and reference a person has told; only the barometer may be missing."""
    return _counted_from(
        column, kind, unit, FoundReference(unit.reference, 1.0, phrase("log.match.answered")), situation
    )


def _judge_barometer(column: Column, kind: ChannelKind, unit: Unit | None) -> Verdict:
    names = IN_USE if unit is None else (unit.name,)
    fitting = [
        each
        for name in names
        if is_plausible(conversion_of(each := unit_of(name, "pressure")).apply(column.values), kind)
    ]
    if len(fitting) == 1:
        return Verdict(
            conversion=conversion_of(fitting[0]),
            unit=f"{fitting[0].name} absolute",
            confidence=CONFIRMED if unit is not None else BY_VALUES,
            reason=phrase("log.pressure.of_the_air", low=column.low, high=column.high, unit=fitting[0].name),
        )
    return asked(
        phrase("log.pressure.not_of_the_air", low=column.low, high=column.high, units=", ".join(names)),
        names,
        phrase("log.plain.impossible"),
    )


def _judge_as_logged(column: Column, kind: ChannelKind, unit: Unit) -> Verdict:
    conversion = conversion_of(unit)
    if not is_plausible(conversion.apply(column.values), kind):
        return impossible(column, str(unit), (unit.name,))
    return Verdict(
        conversion=conversion,
        unit=str(unit),
        confidence=WRITTEN,
        reason=phrase("log.pressure.as_logged", unit=str(unit)),
    )


def _judge_without_unit(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    verdicts = {
        f"{name} {found.reference}": verdict
        for name in IN_USE
        if isinstance(found := find_reference(column, kind, unit_of(name, "pressure"), situation), FoundReference)
        and found.confidence >= BY_VALUES
        and not (verdict := _verdict(column, kind, unit_of(name, "pressure"), found, situation)).question
    }
    if kind.reference != "as logged" and len(verdicts) == 1:
        verdict = next(iter(verdicts.values()))
        return replace(
            verdict,
            confidence=BY_VALUES,
            reason=phrase("log.pressure.only", unit=verdict.unit, reason=verdict.reason),
        )
    return asked(
        phrase("log.pressure.several", low=column.low, high=column.high),
        tuple(verdicts) or tuple(IN_USE),
        phrase("log.unwritten"),
    )


def _verdict(column: Column, kind: ChannelKind, unit: Unit, found: FoundReference, situation: Situation) -> Verdict:
    verdict = _counted_from(column, kind, unit, found, situation)
    if verdict.question or is_plausible(verdict.conversion.apply(column.values), kind):
        return verdict
    return asked(
        phrase("log.pressure.not_here", low=column.low, high=column.high, unit=f"{unit.name} {found.reference}"),
        (f"{unit.name} absolute", f"{unit.name} gauge"),
        phrase("log.plain.impossible"),
    )


def _counted_from(
    column: Column, kind: ChannelKind, unit: Unit, found: FoundReference, situation: Situation
) -> Verdict:
    """The conversion; where channel and sensor count from different ends, over what the gauge end is."""
    shown = replace(unit, reference=found.reference)
    offset, reason, remark = unit.offset, found.reason, found.remark
    if found.reference == "gauge" and kind.reference == "absolute":
        zero = find_gauge_zero(column, kind, unit, situation)
        if isinstance(zero, Verdict):
            # A person who says gauge, and no more, means the air around.
            if found.confidence < 1.0 or situation.barometric_pressure_kpa is None:
                return zero
            offset += situation.barometric_pressure_kpa
        else:
            offset += zero.kpa
            shown = replace(shown, zero_kpa=zero.shown_kpa)
            reason = together(reason, zero.reason)
            remark = together(remark, zero.remark)
    elif found.reference == "absolute" and kind.reference == "gauge":
        if situation.barometric_pressure_kpa is None:
            return asked(
                phrase("log.pressure.no_gauge", reason=found.reason),
                (),
                phrase("log.zero.nowhere"),
            )
        offset -= situation.barometric_pressure_kpa
    return Verdict(
        conversion=Conversion(scale=unit.scale, offset=offset, floor=found.floor_kpa / unit.scale),
        unit=str(shown),
        confidence=found.confidence,
        reason=phrase("log.pressure.shown", unit=str(shown), reason=reason),
        remark=remark,
    )
