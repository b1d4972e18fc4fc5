"""Did it help: groups of passes compared with the day taken out, clock by clock and stretch by stretch."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from nextpass.compare.clocks import PassClocks, clocks_of
from nextpass.compare.comparison import ComparedPass, Comparison, Gain, Group, Stretch
from nextpass.compare.confounding import confounding_of
from nextpass.compare.day import CLOCKS, DayEffect, between, day_effect, one_clock
from nextpass.compare.effect import Usual, Verdict, effect_of, more_passes, verdict_of
from nextpass.compare.stretch import BEAM_STRETCHES, gear_bounds, time_between
from nextpass.compare.usual import usual_between, usual_of, with_like
from nextpass.fit import FittedCar
from nextpass.measure import Absent, Estimate
from nextpass.review import ReviewedPass
from nextpass.words import phrase

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Of the clocks that both groups have, the one furthest down the strip decides.
_DECIDING = ("et_s", "t1000ft_s", "t660ft_s", "t330ft_s", "t60ft_s")


def in_order(groups: Sequence[Group]) -> tuple[ReviewedPass, ...]:
    """All passes of some groups in the order in which they were run: by their time, else as they were given.

    Parameters
    ----------
    groups : sequence of Group
    """
    passes = [one for group in groups for one in group.passes]
    if all(one.record.started is not None for one in passes):
        return tuple(sorted(passes, key=lambda one: one.record.started))  # type: ignore[arg-type, return-value]
    return tuple(passes)


def basis_of(groups: Sequence[Group]) -> int:
    """Index of the group that the car is to be fitted to: the one with the most passes, the first of several.

    Parameters
    ----------
    groups : sequence of Group
    """
    return max(range(len(groups)), key=lambda number: len(groups[number].passes))


def compare_groups(
    fitted: FittedCar, groups: Sequence[Group], basis: int | None, known_scatter_s: float | None = None
) -> tuple[Comparison, ...]:
    """Each group against the one before it.

    Parameters
    ----------
    fitted : FittedCar
        The car, fitted to the passes of one group in their order and to no other.
    groups : sequence of Group
        Two or more, each with at least one pass.
    basis : int or None
        Index of that group; None where the car is fitted to none of them.
    known_scatter_s : float, optional
        Standard deviation of the ET of like passes that the calibrator states [s].

    Returns
    -------
    tuple of Comparison
        One less than groups.
    """
    passes = in_order(groups)
    place = {id(one): number for number, one in enumerate(passes)}
    members = [sorted(place[id(one)] for one in group.passes) for group in groups]
    day = day_effect(fitted, [one.record for one in passes], () if basis is None else members[basis])
    clocks = clocks_of(passes, CLOCKS)
    found = []
    for number in range(1, len(groups)):
        field = _Field(
            passes=passes,
            day=day,
            first=members[number - 1],
            second=members[number],
            like=[member for i, member in enumerate(members) if i not in (number - 1, number)],
        )
        found.append(_comparison(field, groups[number - 1], groups[number], clocks, known_scatter_s))
    return tuple(found)


class _Field:
    """The passes of one comparison, and how a figure of them becomes a gain."""

    def __init__(
        self,
        *,
        passes: tuple[ReviewedPass, ...],
        day: DayEffect,
        first: list[int],
        second: list[int],
        like: list[list[int]],
    ) -> None:
        self.passes = passes
        self.day = day
        self.first = first
        self.second = second
        self.like = like

    def gain(
        self, values: FloatArray, sd: FloatArray, weights: FloatArray, usual: Usual, *, lower_is_better: bool = True
    ) -> Gain | Absent:
        """Gain in a figure of the passes, shape (n,), nan where a pass does not have it."""
        brought = values - self.day.taken_out(weights)
        first, second = ([i for i in group if np.isfinite(brought[i])] for group in (self.first, self.second))
        if not first or not second:
            return Absent(reason=phrase("compare.absent.not_reached"))
        usual = with_like(usual, [brought[group][np.isfinite(brought[group])].tolist() for group in self.like])
        both = first + second
        shared = self.day.of(both).covariance(weights) + np.diag(sd[both] ** 2)
        effect = effect_of(brought[first].tolist(), brought[second].tolist(), shared, usual)
        if isinstance(effect, Absent):
            return effect
        verdict = verdict_of(effect, usual, lower_is_better=lower_is_better)
        sign = -1.0 if lower_is_better else 1.0
        contrast = np.concatenate([np.full(len(first), -1.0 / len(first)), np.full(len(second), 1.0 / len(second))])
        return Gain(
            gain=Estimate(value=sign * effect.change.value, plus_minus=effect.change.plus_minus),
            probability=effect.probability_lower if lower_is_better else 1.0 - effect.probability_lower,
            verdict=verdict,
            more_passes=more_passes(effect, usual) if verdict is Verdict.CANNOT_TELL else None,
            scatter=effect.scatter,
            grip_sd=self.day.of(both).grip_sd(weights, contrast),
            first_count=len(first),
            second_count=len(second),
        )


def _comparison(
    field: _Field, first: Group, second: Group, clocks: Mapping[str, PassClocks], known_scatter_s: float | None
) -> Comparison:
    gains = {
        name: field.gain(
            clock.values,
            clock.sd,
            one_clock(name),
            usual_of(name, known_scatter_s),
            lower_is_better=name.endswith("_s"),
        )
        for name, clock in clocks.items()
    }
    deciding = next((name for name in _DECIDING if isinstance(gains[name], Gain)), _DECIDING[0])
    return Comparison(
        first=first,
        second=second,
        deciding=deciding,
        clocks=gains,
        stretches=(*_beam_stretches(field, clocks, known_scatter_s), *_gear_stretches(field, first, known_scatter_s)),
        source=clocks[deciding].source,
        reference=field.day.reference,
        passes=_compared(field, first, second, deciding, clocks[deciding]),
        confounding=confounding_of(first, second, gains[deciding]),
    )


def _beam_stretches(field: _Field, clocks: Mapping[str, PassClocks], known_scatter_s: float | None) -> list[Stretch]:
    """Beam to beam, from the same clocks as the whole."""
    found = []
    before = PassClocks(values=np.zeros(len(field.passes)), sd=np.zeros(len(field.passes)), source="log")
    for (start_m, end_m), name in zip(BEAM_STRETCHES, CLOCKS, strict=False):
        after = clocks[name]
        sd = np.where(after.sd > before.sd, np.sqrt(np.abs(after.sd**2 - before.sd**2)), 0.0)
        gain = field.gain(
            after.values - before.values, sd, between(start_m, end_m), usual_between(start_m, end_m, known_scatter_s)
        )
        found.append(Stretch(start_m=start_m, end_m=end_m, gear=None, gain=gain))
        before = after
    return found


def _gear_stretches(field: _Field, first: Group, known_scatter_s: float | None) -> list[Stretch]:
    found = []
    for gear, start_m, end_m in gear_bounds(first.passes):
        times = np.array([time_between(one, start_m, end_m) for one in field.passes])
        usual = usual_between(start_m, end_m, known_scatter_s)
        gain = field.gain(times, np.zeros(times.size), between(start_m, end_m), usual)
        found.append(Stretch(start_m=start_m, end_m=end_m, gear=gear, gain=gain))
    return found


def _compared(field: _Field, first: Group, second: Group, deciding: str, clock: PassClocks) -> tuple[ComparedPass, ...]:
    weights = one_clock(deciding)
    taken, sd = field.day.taken_out(weights), np.sqrt(np.diag(field.day.covariance(weights)))
    labels = dict.fromkeys(field.first, first.label) | dict.fromkeys(field.second, second.label)
    found = []
    for number in sorted(labels):
        value = clock.values[number]
        measured = (
            Estimate.from_sd(float(value), float(clock.sd[number]))
            if np.isfinite(value)
            else Absent(reason=phrase("compare.absent.pass_not_reached"))
        )
        found.append(
            ComparedPass(
                name=field.passes[number].record.folder.name,
                group=labels[number],
                measured=measured,
                day=Estimate.from_sd(float(taken[number]), float(sd[number])),
            )
        )
    return tuple(found)
