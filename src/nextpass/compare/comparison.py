"""What a comparison says: records only."""

from collections.abc import Mapping
from dataclasses import dataclass

from nextpass.car import Conditions
from nextpass.compare.clocks import Source
from nextpass.compare.effect import Verdict
from nextpass.measure import Absent, Estimate
from nextpass.review import ReviewedPass


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Passes that are alike in what is compared, and what to call them."""

    label: str
    passes: tuple[ReviewedPass, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What the change did to one clock or stretch, positive for the better.

    Parameters
    ----------
    gain : Estimate
        Time saved [s], or trap speed gained [m/s], with the day taken out.
    probability : float
        That it is a gain at all.
    verdict : Verdict
    more_passes : int or None
        Further passes in each group that would settle a gain of this size; None where none would, or none are needed.
    scatter : Estimate
        Standard deviation of a single pass.
    grip_sd : float
        Standard deviation of the gain by the grip of days that only one group was run on; part of its ±.
    first_count, second_count : int
        Passes that it rests on.
    """

    gain: Estimate
    probability: float
    verdict: Verdict
    more_passes: int | None
    scatter: Estimate
    grip_sd: float
    first_count: int
    second_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A part of the strip and what was gained on it; `gear` where it is the part that a gear covers."""

    start_m: float
    end_m: float
    gear: int | None
    gain: Gain | Absent


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedPass:
    """One pass before and after the day was taken out, on the clock that decides [s; m/s for a speed].

    Parameters
    ----------
    name : str
        Of its folder.
    group : str
        Label of its group.
    measured : Estimate or Absent
    day : Estimate or Absent
        What the day added.
    """

    name: str
    group: str
    measured: Estimate | Absent
    day: Estimate | Absent


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """One group of passes against another.

    Parameters
    ----------
    first, second : Group
        Before and after.
    deciding : str
        The clock that the verdict rests on: ET, or the furthest clock that both groups have.
    clocks : Mapping[str, Gain or Absent]
        By clock.
    stretches : tuple of Stretch
        Beam to beam, then by gear; together they make up the gain of the whole.
    source : str
        Where the clocks come from.
    reference : Conditions
        What all passes were brought to.
    passes : tuple of ComparedPass
        In the order in which they were run.
    confounding : tuple of str
        What else may have made the difference, a sentence each.
    """

    first: Group
    second: Group
    deciding: str
    clocks: Mapping[str, Gain | Absent]
    stretches: tuple[Stretch, ...]
    source: Source
    reference: Conditions
    passes: tuple[ComparedPass, ...]
    confounding: tuple[str, ...]

    @property
    def decisive(self) -> Gain | Absent:
        """The gain on the clock that decides."""
        return self.clocks[self.deciding]
