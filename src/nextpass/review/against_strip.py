"""The log's clocks held against the strip's own, and whether the two can belong to one pass."""

from dataclasses import dataclass, fields

from nextpass.car import StripClocks
from nextpass.measure import Estimate
from nextpass.review.timeslip import Timeslip

# Beyond the log's own ±, staging and beams move a clock by this much [s], a trap speed by this part.
STAGING_S, TRAP_PART = 0.12, 0.02
# The slip of another pass differs by more than this many times what the two explain.
TIMES_OWN = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockDifference:
    """One clock: `name` as in `Timeslip`, both values in its unit, and log less strip."""

    name: str
    log: Estimate
    strip: float
    difference: float
    is_explained: bool


def against_strip(slip: Timeslip, clocks: StripClocks) -> tuple[ClockDifference, ...]:
    """Each clock that both the log and the strip tell.

    Parameters
    ----------
    slip : Timeslip
        From the log alone.
    clocks : StripClocks
        From the strip.

    Returns
    -------
    tuple of ClockDifference
        In the order of the strip.
    """
    found = []
    for field in fields(StripClocks):
        strip, log = getattr(clocks, field.name), getattr(slip, field.name)
        if strip is None or not isinstance(log, Estimate):
            continue
        own = STAGING_S if field.name.endswith("_s") else TRAP_PART * strip
        difference = log.value - strip
        explained = abs(difference) <= TIMES_OWN * log.plus_minus + own
        found.append(
            ClockDifference(name=field.name, log=log, strip=strip, difference=difference, is_explained=explained)
        )
    return tuple(found)
