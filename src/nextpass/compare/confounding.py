"""What else may have made the difference between two groups, in words: settings, fuel, days, order, heat, mishaps.

Statistics cannot see it: a change made with the sun going down has no clean answer. What is found here does not move
the figures; it tells the calibrator what they may be figures of.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Final

import numpy as np

from nextpass.car import FUEL, AdjusterValue
from nextpass.compare.comparison import Gain, Group
from nextpass.compare.day import day_numbers
from nextpass.measure import Absent, Estimate
from nextpass.review import ReviewedPass, Severity
from nextpass.words import phrase

AIR_APART_K: Final = 5.0
TRACK_APART_K: Final = 6.0
HEAT_APART_K: Final = 8.0
WIND_APART_MPS: Final = 1.5
"""From here on the means of two groups are not alike (common practice): beyond it a correction is worth a doubt."""

# Findings that cost a pass time without being the setup's doing.
_MISHAPS = ("slow-shift", "shift-flare", "launch-rpm", "rev-limiter", "throttle-closed", "slow-release")
# Where the car stood when it was launched: what it brought along from the pass before.
_SOAKED = ("charge_temperature_c", "gearbox_oil_temperature_c", "coolant_temperature_c")


def confounding_of(first: Group, second: Group, gain: Gain | Absent) -> tuple[str, ...]:
    """Every reason to doubt that the change alone made the difference.

    Parameters
    ----------
    first, second : Group
    gain : Gain or Absent
        On the clock that decides.

    Returns
    -------
    tuple of str
        The gravest first.
    """
    return (
        *_settings(first, second),
        *_days(first, second, gain),
        *_order(first, second),
        *_conditions(first, second),
        *_soak(first, second),
        *_lanes(first, second),
        *_mishaps(first, second),
    )


def _settings(first: Group, second: Group) -> list[str]:
    """Adjusters that differ beside the one that names the groups, and those that differ within a group."""
    apart, mixed = [], []
    for name in first.passes[0].record.setup.values:
        values = [_values(group, name) for group in (first, second)]
        if len(values[0]) > 1 or len(values[1]) > 1:
            mixed.append(name)
        elif values[0] != values[1]:
            apart.append(name)
    found: list[str] = []
    if FUEL in apart and len(apart) > 1:
        found.append(phrase("compare.confounding.fuel"))
    if len(apart) > 1:
        found.append(phrase("compare.confounding.settings", names=", ".join(apart)))
    if mixed:
        found.append(phrase("compare.confounding.mixed", names=", ".join(mixed)))
    if not apart and not mixed:
        found.append(phrase("compare.confounding.same_settings"))
    return found


def _values(group: Group, name: str) -> set[AdjusterValue]:
    return {one.record.setup.values[name] for one in group.passes if name in one.record.setup.values}


def _days(first: Group, second: Group, gain: Gain | Absent) -> list[str]:
    numbers = day_numbers([one.record for group in (first, second) for one in group.passes])
    before, after = set(numbers[: len(first.passes)]), set(numbers[len(first.passes) :])
    if before & after:
        return []
    grip_s = 0.0 if isinstance(gain, Absent) else Estimate.from_sd(0.0, gain.grip_sd).plus_minus
    return [phrase("compare.confounding.days", grip=grip_s)]


def _order(first: Group, second: Group) -> list[str]:
    """All of one group before all of the other: what drifts meanwhile is in the difference."""
    before, after = _started(first), _started(second)
    if before is None or after is None or len(before) + len(after) < 3:
        return []
    if before[-1] < after[0] or after[-1] < before[0]:
        return [phrase("compare.confounding.order")]
    return []


def _started(group: Group) -> list[datetime] | None:
    times = [one.record.started for one in group.passes]
    known = [time for time in times if time is not None]
    # Times with and without a zone do not compare.
    zones = {time.tzinfo is None for time in known}
    return sorted(known) if len(known) == len(times) and len(zones) == 1 else None


def _conditions(first: Group, second: Group) -> list[str]:
    found: list[str] = []
    for key, field, limit in (
        ("air", "air_temperature_c", AIR_APART_K),
        ("track", "track_temperature_c", TRACK_APART_K),
        ("wind", "headwind_mps", WIND_APART_MPS),
    ):
        before, after = (
            float(np.mean([getattr(one.record.conditions, field) for one in group.passes])) for group in (first, second)
        )
        if abs(after - before) > limit:
            found.append(phrase(f"compare.confounding.{key}", before=before, after=after))
    return found


def _soak(first: Group, second: Group) -> list[str]:
    found: list[str] = []
    for name in _SOAKED:
        before, after = (_mean(group.passes, name) for group in (first, second))
        if abs(after - before) > HEAT_APART_K:
            channel = phrase(f"compare.channel.{name}")
            found.append(phrase("compare.confounding.soak", channel=channel, before=before, after=after))
    return found


def _mean(passes: Sequence[ReviewedPass], channel: str) -> float:
    known = [value for one in passes if np.isfinite(value := _at_launch(one, channel))]
    return float(np.mean(known)) if known else float("nan")


def _at_launch(one: ReviewedPass, name: str) -> float:
    channel, motion = one.log.get(name), one.review.ground_speed
    if channel is None or motion is None:
        return float("nan")
    return float(channel.at(np.array([motion.moved_s]))[0])


def _lanes(first: Group, second: Group) -> list[str]:
    found: list[str] = []
    for key in ("strip", "lane"):
        before, after = (sorted({getattr(one.record, key) for one in group.passes} - {""}) for group in (first, second))
        if before and after and before != after:
            found.append(phrase(f"compare.confounding.{key}", before=", ".join(before), after=", ".join(after)))
    return found


def _mishaps(first: Group, second: Group) -> list[str]:
    found: list[str] = []
    for group in (first, second):
        for one in group.passes:
            titles = {
                finding.title
                for finding in one.review.findings
                if finding.code in _MISHAPS and finding.severity in (Severity.STOP, Severity.ACT)
            }
            for title in sorted(titles):
                found.append(phrase("compare.confounding.mishap", name=one.record.folder.name, title=title))
    return found
