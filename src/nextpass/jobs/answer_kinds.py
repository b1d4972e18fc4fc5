"""The kinds of answers that the book keeps for each pass, and what a pass is found by.

Each is made from a pass that was read and reviewed; they are kept together, and made anew together.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

from nextpass.answers import (
    Answer,
    PassFiguresAnswer,
    conditions_answer,
    figures_answer,
    review_answer,
    setup_answer,
    timeslip_answer,
)
from nextpass.book import KeptFinding, MadeAnswer
from nextpass.car import Car, PassRecord
from nextpass.health import figures_of
from nextpass.review import ReviewedPass

REVIEW = "review"
FIGURES = "figures"
_KMH_PER_MPS = 3.6


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerKind:
    """One kind.

    Parameters
    ----------
    make : Callable
        Its answer by the contract, from the car and a reviewed pass.
    values : Callable
        What the pass is found by, from the reviewed pass and the answer.
    has_findings : bool
        Whether the findings of the review are kept with it.
    """

    make: Callable[[Car, ReviewedPass], Answer]
    values: Callable[[ReviewedPass, Any], Mapping[str, float | str]]
    has_findings: bool = False


def made_answers(car: Car, reviewed: ReviewedPass) -> tuple[MadeAnswer, ...]:
    """Every kind of answer of a pass.

    Parameters
    ----------
    car : Car
    reviewed : ReviewedPass

    Returns
    -------
    tuple of MadeAnswer
        One of each of `ANSWER_KINDS`.
    """
    findings = tuple(
        KeptFinding(code=finding.code, severity=str(finding.severity), gear=finding.gear)
        for finding in reviewed.review.findings
    )
    made = {name: kind.make(car, reviewed) for name, kind in ANSWER_KINDS.items()}
    return tuple(
        MadeAnswer(
            kind=name,
            body=made[name].model_dump(mode="json"),
            values=kind.values(reviewed, made[name]),
            findings=findings if kind.has_findings else None,
        )
        for name, kind in ANSWER_KINDS.items()
    )


def _review_values(reviewed: ReviewedPass, _answer: Answer) -> dict[str, float | str]:
    """Conditions, setup, timeslip of the log and of the strip, under the keys of the contract."""
    found = dict(_record_values(reviewed.record))
    for name, estimate in timeslip_answer(reviewed.review.timeslip):
        if estimate is not None:
            found[name] = estimate.value
    return found


def _record_values(record: PassRecord) -> Iterator[tuple[str, float | str]]:
    for name, value in setup_answer(record.setup).items():
        if isinstance(value, list):
            yield from ((f"{name}[{gear}]", float(one)) for gear, one in enumerate(value, start=1))
        else:
            yield name, value if isinstance(value, str) else float(value)
    yield from conditions_answer(record.conditions)
    if record.clocks is not None:
        for field in fields(record.clocks):
            value = getattr(record.clocks, field.name)
            if value is not None and field.name.endswith("_mps"):
                yield f"strip_{field.name.removesuffix('_mps')}_kmh", value * _KMH_PER_MPS
            elif value is not None:
                yield f"strip_{field.name}", value


def _figures_values(_reviewed: ReviewedPass, answer: PassFiguresAnswer) -> dict[str, float]:
    """What its launch cost and its figures of wear, under the keys of the contract."""
    launch = answer.launch
    known = (
        {}
        if launch is None
        else {
            "clutch_energy_kj": launch.clutch_energy_kj,
            "clutch_peak_c": launch.clutch_peak_c,
            "clutch_life_pct": launch.clutch_life_pct,
        }
    )
    return {name: estimate.value for name, estimate in known.items() if estimate is not None} | answer.wear


ANSWER_KINDS: Mapping[str, AnswerKind] = {
    REVIEW: AnswerKind(make=lambda _car, one: review_answer(one), values=_review_values, has_findings=True),
    FIGURES: AnswerKind(make=lambda car, one: figures_answer(figures_of(car, one)), values=_figures_values),
}
