"""The answer of `nextpass compare`."""

from typing import Literal

from nextpass.answers.schema import (
    DECIMALS,
    KMH_PER_MPS,
    Answer,
    ConditionsAnswer,
    EstimateAnswer,
    conditions_answer,
    estimate_answer,
)
from nextpass.compare import ComparedPass, Comparison, Gain, Group, Stretch
from nextpass.measure import Absent


class GainAnswer(Answer):
    """What the change did to one clock or stretch: positive for the better, the day taken out.

    `gain` is in seconds, for the trap speed in km/h; `scatter` is the standard deviation of a single pass.
    """

    gain: EstimateAnswer
    probability: float
    verdict: Literal["helped", "hurt", "no difference", "cannot tell"]
    more_passes: int | None
    scatter: EstimateAnswer
    grip_sd: float
    first_count: int
    second_count: int


class GroupAnswer(Answer):
    """Passes that stand together."""

    label: str
    passes: list[str]


class StretchAnswer(Answer):
    """A part of the strip; `gear` where it is the part that a gear covers."""

    start_m: float
    end_m: float
    gear: int | None
    gain: GainAnswer | None


class ComparedPassAnswer(Answer):
    """One pass on the clock that decides, as measured and what the day added."""

    name: str
    group: str
    measured: EstimateAnswer | None
    day: EstimateAnswer | None


class ComparisonAnswer(Answer):
    """One group against another; `clocks` by name, null where a group does not reach one."""

    first: GroupAnswer
    second: GroupAnswer
    deciding: str
    verdict: Literal["helped", "hurt", "no difference", "cannot tell"]
    clocks: dict[str, GainAnswer | None]
    stretches: list[StretchAnswer]
    source: str
    reference: ConditionsAnswer
    passes: list[ComparedPassAnswer]
    confounding: list[str]


class CompareAnswer(Answer):
    """The answer of `nextpass compare`: each group against the one before it."""

    comparisons: list[ComparisonAnswer]


# The contract's names of clocks that the program holds in m/s.
_CONTRACT_NAMES = {"trap_mps": "trap_kmh"}


def compare_answer(comparisons: tuple[Comparison, ...]) -> CompareAnswer:
    """Comparisons by the contract."""
    return CompareAnswer(comparisons=[_comparison_answer(one) for one in comparisons])


def _comparison_answer(one: Comparison) -> ComparisonAnswer:
    decisive = one.decisive
    return ComparisonAnswer(
        first=_group_answer(one.first),
        second=_group_answer(one.second),
        deciding=one.deciding,
        verdict="cannot tell" if isinstance(decisive, Absent) else decisive.verdict.value,
        clocks={
            _CONTRACT_NAMES.get(name, name): _gain_answer(gain, KMH_PER_MPS if name in _CONTRACT_NAMES else 1.0)
            for name, gain in one.clocks.items()
        },
        stretches=[_stretch_answer(stretch) for stretch in one.stretches],
        source=one.source,
        reference=conditions_answer(one.reference),
        passes=[_pass_answer(compared) for compared in one.passes],
        confounding=list(one.confounding),
    )


def _group_answer(group: Group) -> GroupAnswer:
    return GroupAnswer(label=group.label, passes=[one.record.folder.name for one in group.passes])


def _gain_answer(gain: Gain | Absent, factor: float = 1.0) -> GainAnswer | None:
    if isinstance(gain, Absent):
        return None
    value, scatter = estimate_answer(gain.gain, factor), estimate_answer(gain.scatter, factor)
    assert value is not None
    assert scatter is not None
    return GainAnswer(
        gain=value,
        probability=round(gain.probability, DECIMALS),
        verdict=gain.verdict.value,
        more_passes=gain.more_passes,
        scatter=scatter,
        grip_sd=round(gain.grip_sd * factor, DECIMALS),
        first_count=gain.first_count,
        second_count=gain.second_count,
    )


def _stretch_answer(stretch: Stretch) -> StretchAnswer:
    return StretchAnswer(
        start_m=round(stretch.start_m, 1),
        end_m=round(stretch.end_m, 1),
        gear=stretch.gear,
        gain=_gain_answer(stretch.gain),
    )


def _pass_answer(compared: ComparedPass) -> ComparedPassAnswer:
    return ComparedPassAnswer(
        name=compared.name,
        group=compared.group,
        measured=estimate_answer(compared.measured),
        day=estimate_answer(compared.day),
    )
