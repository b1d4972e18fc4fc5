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
)
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import Unit, unit_of


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
    return _counted_from(column, kind, unit, FoundReference(unit.reference, 1.0, "by answer"), situation)


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
            reason=f"{column.low:g} to {column.high:g} {fitting[0].name} is the pressure of the air",
        )
    return asked(
        f"readings of {column.low:g} to {column.high:g} are not the pressure of the air in {', '.join(names)}",
        names,
        "values impossible",
    )


def _judge_as_logged(column: Column, kind: ChannelKind, unit: Unit) -> Verdict:
    conversion = conversion_of(unit)
    if not is_plausible(conversion.apply(column.values), kind):
        return asked(
            f"{unit} is written, but readings of {column.low:g} to {column.high:g} are not possible in it",
            (unit.name,),
            "unit written, values impossible",
        )
    return Verdict(
        conversion=conversion, unit=str(unit), confidence=WRITTEN, reason=f"{unit} is written, kept as logged"
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
            verdict, confidence=BY_VALUES, reason=f"no unit written; only {verdict.unit} fits: {verdict.reason}"
        )
    return asked(
        f"no unit is written and readings of {column.low:g} to {column.high:g} fit several",
        tuple(verdicts) or tuple(IN_USE),
        "no unit written",
    )


def _verdict(column: Column, kind: ChannelKind, unit: Unit, found: FoundReference, situation: Situation) -> Verdict:
    verdict = _counted_from(column, kind, unit, found, situation)
    if verdict.question or is_plausible(verdict.conversion.apply(column.values), kind):
        return verdict
    return asked(
        f"readings of {column.low:g} to {column.high:g} {unit.name} {found.reference} are not possible here",
        (f"{unit.name} absolute", f"{unit.name} gauge"),
        "values impossible",
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
            reason = f"{reason}; {zero.reason}" if zero.reason else reason
            remark = "; ".join(each for each in (remark, zero.remark) if each)
    elif found.reference == "absolute" and kind.reference == "gauge":
        if situation.barometric_pressure_kpa is None:
            return asked(
                f"it is absolute, and without the barometric pressure it cannot be made gauge ({found.reason})",
                (),
                "no barometric pressure in the log or the conditions",
            )
        offset -= situation.barometric_pressure_kpa
    return Verdict(
        conversion=Conversion(scale=unit.scale, offset=offset, floor=found.floor_kpa / unit.scale),
        unit=str(shown),
        confidence=found.confidence,
        reason=f"{shown}: {reason}",
        remark=remark,
    )
