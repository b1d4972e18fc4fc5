"""What a trouble code means for this car: decoded, its causes in their usual order, weighed against the logs.

A cause begins with its place in the usual order of each code that is stored, falls back where a stored code does not
list it, and moves by what the logs say: each line of evidence is a weight on the logarithm of its odds. What a log
does not have moves nothing, and is listed, so that it can be logged next. The shares are of the causes listed: what is
not in the table cannot be named. Passes that show nothing but what a sound car shows speak for no cause and against
none.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from nextpass.car import Car
from nextpass.health.code_table import CodeTable, Statement, code_table
from nextpass.health.signs import signs_of
from nextpass.obd import TroubleCode
from nextpass.review import Finding, ReviewedPass, evidence_of
from nextpass.words import phrase

PLACE_WEIGHT: Final = 0.35
"""What one place in the usual order is worth in the logarithm of the odds: the fifth is a quarter of the first."""
UNLISTED_WEIGHT: Final = 1.5
"""What it costs a cause that a stored code does not list it."""
SETTLED_RATIO: Final = 1.5
"""The first cause must be so many times as likely as the second before the logs are said to settle it."""
MOST_CAUSES: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadCode:
    """A code and what it says by itself.

    Parameters
    ----------
    code : TroubleCode
    meaning : str
    is_listed : bool
        Whether our table knows it; else only its structure is said.
    causes : tuple of str
        Names of its causes in their usual order.
    """

    code: TroubleCode
    meaning: str
    is_listed: bool
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedCause:
    """One cause and what the logs say of it.

    Parameters
    ----------
    name : str
        Stable name, such as ``charge-leak``.
    title, next_step : str
    share : float
        Of the causes listed for these codes [0..1].
    codes : tuple of TroubleCode
        Those that list it.
    speaks_for, speaks_against, not_seen : tuple of str
        Evidence, the weightiest first; and what these logs do not show.
    """

    name: str
    title: str
    next_step: str
    share: float
    codes: tuple[TroubleCode, ...]
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    not_seen: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedCodes:
    """Codes read together.

    Parameters
    ----------
    codes : tuple of ReadCode
        As given, each once.
    causes : tuple of WeighedCause
        The likeliest first, at most `MOST_CAUSES`.
    passes : tuple of str
        Names of the passes that were weighed.
    is_settled : bool
        Whether the logs put the first cause clearly before the second.
    is_silent : bool
        Whether passes were weighed and show nothing out of the ordinary: the usual order stands.
    cautions : tuple of str
        Before clearing, and for the work that the causes ask for.
    """

    codes: tuple[ReadCode, ...]
    causes: tuple[WeighedCause, ...]
    passes: tuple[str, ...]
    is_settled: bool
    is_silent: bool
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeStates:
    """Codes before and after clearing or repair: gone, still there, new."""

    gone: tuple[TroubleCode, ...]
    stayed: tuple[TroubleCode, ...]
    came: tuple[TroubleCode, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shown:
    """What all passes together show; nothing where there is none."""

    findings: tuple[Finding, ...] = ()
    signs: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    channels: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """One line of evidence as it was answered; `is_odd` where a sound car would answer otherwise."""

    weight: float
    words: str
    is_odd: bool
    is_of_codes: bool


def read_code(code: TroubleCode) -> ReadCode:
    """A code by itself: its meaning where the table has it, else what its structure says.

    Parameters
    ----------
    code : TroubleCode

    References
    ----------
    SAE J2012 / ISO 15031-6 (memory).
    """
    entry = code_table().codes.get(code.number)
    if entry is None:
        kind = "unlisted" if code.is_standardised else "maker"
        return ReadCode(code=code, meaning=phrase(f"codes.{kind}", group=_group(code)), is_listed=False, causes=())
    names = {} if entry.number is None else {"number": entry.number}
    return ReadCode(code=code, meaning=phrase(entry.text, **names), is_listed=True, causes=entry.causes)


def _group(code: TroubleCode) -> str:
    """Group of a powertrain code by its first two digits, of any other by its letter."""
    head = str(code)[:3].lower()
    if code.system == "P" and code.is_standardised and head in ("p00", "p20", "p21", "p22", "p23"):
        return phrase(f"codes.group.{head}")
    if code.system == "P" and code.is_standardised and head.startswith("p0") and head[2].isdecimal():
        return phrase(f"codes.group.{head}")
    return phrase(f"codes.group.{code.system.lower()}")


def weigh_codes(
    codes: Sequence[TroubleCode], car: Car | None = None, passes: Sequence[ReviewedPass] = ()
) -> WeighedCodes:
    """Codes read together and weighed against the passes of the car.

    Parameters
    ----------
    codes : sequence of TroubleCode
        Stored together.
    car : Car, optional
        Needed with passes.
    passes : sequence of ReviewedPass
        Those that the codes came with; with none the usual order stands.

    Returns
    -------
    WeighedCodes

    Raises
    ------
    ValueError
        On passes without a car.
    """
    if passes and car is None:
        raise ValueError("passes are weighed for a car, which is not given")
    table = code_table()
    read = tuple(read_code(code) for code in dict.fromkeys(codes))
    shown = _Shown() if car is None or not passes else _shown(car, passes)
    listed = [one for one in read if one.causes]
    names = list(dict.fromkeys(name for one in listed for name in one.causes))
    stored = frozenset(str(one.code) for one in read)
    heard = {name: _heard(table.causes[name], shown, stored) for name in names}
    is_silent = bool(passes) and not any(line.is_odd for lines, _ in heard.values() for line in lines)
    said = {name: [line for line in lines if line.is_of_codes or not is_silent] for name, (lines, _) in heard.items()}
    odds = {name: _by_order(name, listed) + sum(line.weight for line in said[name]) for name in names}
    most = max(odds.values(), default=0.0)
    total = sum(math.exp(value - most) for value in odds.values())
    ranked = sorted(names, key=lambda name: -odds[name])
    causes = tuple(
        WeighedCause(
            name=name,
            title=phrase(f"cause.{name}.title"),
            next_step=phrase(f"cause.{name}.next_step"),
            share=math.exp(odds[name] - most) / total,
            codes=tuple(one.code for one in listed if name in one.causes),
            speaks_for=_words([line for line in said[name] if line.weight > 0.0]),
            speaks_against=_words([line for line in said[name] if line.weight < 0.0]),
            not_seen=heard[name][1],
        )
        for name in ranked[:MOST_CAUSES]
    )
    return WeighedCodes(
        codes=read,
        causes=causes,
        passes=tuple(one.record.folder.name for one in passes),
        is_silent=is_silent,
        is_settled=bool(passes)
        and not is_silent
        and bool(causes)
        and (len(causes) == 1 or causes[0].share >= SETTLED_RATIO * causes[1].share),
        cautions=_cautions(table, read, causes),
    )


def compare_states(before: Sequence[TroubleCode], after: Sequence[TroubleCode]) -> CodeStates:
    """What clearing or repair did to the codes.

    Parameters
    ----------
    before, after : sequence of TroubleCode
    """
    return CodeStates(
        gone=tuple(code for code in before if code not in after),
        stayed=tuple(code for code in before if code in after),
        came=tuple(code for code in after if code not in before),
    )


def _by_order(name: str, listed: Sequence[ReadCode]) -> float:
    return -sum(PLACE_WEIGHT * one.causes.index(name) if name in one.causes else UNLISTED_WEIGHT for one in listed)


def _shown(car: Car, passes: Sequence[ReviewedPass]) -> _Shown:
    """Findings of all passes, lowest and highest value of each sign, channels that are logged."""
    signs: dict[str, tuple[float, float]] = {}
    for one in passes:
        evidence = evidence_of(car, one)
        for name, value in ({} if evidence is None else signs_of(car, evidence)).items():
            low, high = signs.get(name, (value, value))
            signs[name] = (min(low, value), max(high, value))
    return _Shown(
        findings=tuple(finding for one in passes for finding in one.review.findings),
        signs=signs,
        channels=frozenset(name for one in passes for name in one.log.channels),
    )


def _heard(
    statements: Sequence[Statement], shown: _Shown, stored: frozenset[str]
) -> tuple[list[_Line], tuple[str, ...]]:
    """Each line of evidence that the passes answer, and words of those that they do not."""
    said: list[_Line] = []
    silent: list[str] = []
    for statement in statements:
        answer = _answer(statement, shown, stored)
        if answer is None:
            if not statement.stored:
                silent.append(_unanswered(statement))
            continue
        holds, words = answer
        weight = statement.weight_for if holds else -statement.weight_against
        if weight:
            is_odd = not statement.stored and holds is not statement.is_usual
            said.append(_Line(weight=weight, words=words, is_odd=is_odd, is_of_codes=bool(statement.stored)))
    return said, tuple(dict.fromkeys(silent))


def _answer(statement: Statement, shown: _Shown, stored: frozenset[str]) -> tuple[bool, str] | None:
    """Whether a line of evidence holds, in words; None where the passes do not say."""
    if statement.stored:
        if not stored & {code for group in statement.stored for code in group}:
            return None
        holds = any(set(group) <= stored for group in statement.stored)
        return holds, phrase("codes.stored_together" if holds else "codes.stored_alone")
    return _of_finding(statement, shown) if statement.finding else _of_sign(statement, shown)


def _of_finding(statement: Statement, shown: _Shown) -> tuple[bool, str] | None:
    found = next(
        (
            finding
            for finding in shown.findings
            if finding.code == statement.finding
            and (not statement.channel or any(name.startswith(statement.channel) for name in finding.channels))
        ),
        None,
    )
    if found is not None:
        return True, phrase("codes.finding_found", title=found.title)
    if not statement.needs or not set(statement.needs) <= shown.channels:
        return None
    return False, phrase("codes.finding_missing", title=_finding_title(statement))


def _finding_title(statement: Statement) -> str:
    names = {"channel": statement.channel or "", "axle": phrase("axle.rear")}
    return phrase(f"finding.{statement.finding}.title", **names)


def _of_sign(statement: Statement, shown: _Shown) -> tuple[bool, str] | None:
    if statement.sign not in shown.signs:
        return None
    low, high = shown.signs[statement.sign]
    if statement.above is not None:
        value, bound, holds, kind = high, statement.above, high > statement.above, "above"
    else:
        assert statement.below is not None
        value, bound, holds, kind = low, statement.below, low < statement.below, "below"
    key = kind if holds else f"not_{kind}"
    return holds, phrase(
        f"codes.{key}", sign=phrase(f"codes.sign.{statement.sign}"), figure=_figure(value, bound), bound=f"{bound:g}"
    )


def _figure(value: float, bound: float) -> str:
    """A figure with one decimal more than its bound has."""
    decimals = len(f"{bound:g}".partition(".")[2]) + 1
    return f"{value:.{decimals}f}"


def _unanswered(statement: Statement) -> str:
    if statement.finding:
        return _finding_title(statement)
    return phrase(f"codes.sign.{statement.sign}")


def _words(lines: Sequence[_Line]) -> tuple[str, ...]:
    return tuple(line.words for line in sorted(lines, key=lambda line: -abs(line.weight)))


def _cautions(table: CodeTable, codes: Sequence[ReadCode], causes: Sequence[WeighedCause]) -> tuple[str, ...]:
    names, stored = {cause.name for cause in causes}, {str(one.code) for one in codes}
    asked = [key for key in ("stop",) if table.cautions[key] & stored]
    asked += [key for key in ("fuel", "hot", "brakes", "emission") if table.cautions[key] & names]
    return (*(phrase(f"codes.caution.{key}") for key in asked), *([phrase("codes.caution.clearing")] if codes else []))
