"""Front wheels under the names of the rear ones, or the other way round: told where one axle has no drive.

Under power the driven wheels turn faster than the road and the others with it. Tyres of another size than the control
unit believes shift the ratio of front to rear for good, so that only its change counts: from the stretches in which
little pulls to those in which much does. It goes the way of the driven axle, or the columns are exchanged, or the car
file has the wrong axle driven; either is asked. With drive on both axles nothing can be told.
"""

from collections.abc import Container, Mapping, Sequence

import numpy as np

from nextpass.log.answers import LEFT_OUT
from nextpass.log.channel import FloatArray
from nextpass.log.evidence import DOUBTFUL, Conversion, Verdict
from nextpass.log.hints import LogHints
from nextpass.log.match.matched import Matched, question
from nextpass.words import phrase

# Each wheel with the one behind or before it.
_OTHER_AXLE = {
    "wheel_speed_fl_mps": "wheel_speed_rl_mps",
    "wheel_speed_fr_mps": "wheel_speed_rr_mps",
    "wheel_speed_rl_mps": "wheel_speed_fl_mps",
    "wheel_speed_rr_mps": "wheel_speed_fr_mps",
}
_FRONT = ("wheel_speed_fl_mps", "wheel_speed_fr_mps")
_REAR = ("wheel_speed_rl_mps", "wheel_speed_rr_mps")
# Below it wheel sensors miss teeth and a steered front axle goes a longer way.
LEAST_MPS = 5.0
STEP_S = 0.1
SMOOTHED_STEPS = 5
FEWEST_STEPS = 10
# Of the hardest acceleration: where much pulls, and where little does, braking hard left out as it slips the front.
MUCH = 0.5
LITTLE = (-0.5, 0.25)
# Change of front over rear from which on it is slip: driven tyres slip 3 % and more in a pull (common practice), and
# what light braking does to the ratio stays under one.
LEAST_SLIP = 0.015


def with_axles_asked(matched: Sequence[Matched], hints: LogHints, answered: Container[str]) -> tuple[Matched, ...]:
    """The columns, those of the wheels as questions where the undriven axle runs ahead under power.

    Parameters
    ----------
    matched : sequence of Matched
        Each channel at most once.
    hints : LogHints
        Which axle is driven.
    answered : container of str
        Columns that a person has told: where a wheel is among them, none is asked about.
    """
    wheels: Mapping[str | None, Matched] = {
        each.match.channel: each
        for each in matched
        if each.match.channel in _OTHER_AXLE and each.conversion is not None
    }
    if hints.front_drive_share not in {0.0, 1.0} or any(each.column.name in answered for each in wheels.values()):
        return tuple(matched)
    lead = _front_lead_under_power(wheels)
    if (lead if hints.front_drive_share == 0.0 else -lead) < LEAST_SLIP or not np.isfinite(lead):
        return tuple(matched)
    ahead = "front" if lead > 0.0 else "rear"
    return tuple(_asked(each, ahead) if wheels.get(each.match.channel) is each else each for each in matched)


def _asked(each: Matched, ahead: str) -> Matched:
    channel = str(each.match.channel)
    verdict = Verdict(conversion=Conversion(), unit=each.match.unit, confidence=DOUBTFUL, reason=each.match.reason)
    choices = (*(f"{name}:{each.match.unit}" for name in (_OTHER_AXLE[channel], channel)), LEFT_OUT)
    return question(each.column, channel, verdict, DOUBTFUL, phrase(f"log.axle.{ahead}_ahead"), choices)


def _front_lead_under_power(wheels: Mapping[str | None, Matched]) -> float:
    """Change of ln(front/rear) from where little pulls to where much does; nan where the log does not show both."""
    front, rear = _axle(wheels, _FRONT), _axle(wheels, _REAR)
    if front is None or rear is None:
        return float("nan")
    start, end = max(front[0][0], rear[0][0]), min(front[0][-1], rear[0][-1])
    time_s = np.arange(start, end, STEP_S)
    if time_s.size < SMOOTHED_STEPS:
        return float("nan")
    fronts, rears = np.interp(time_s, *front), np.interp(time_s, *rear)
    # The slower axle is the nearer one to the speed over ground.
    pulls = _smoothed(np.gradient(np.minimum(fronts, rears), STEP_S))
    moves = np.minimum(fronts, rears) > LEAST_MPS
    if not moves.any():
        return float("nan")
    hardest = float(np.percentile(pulls[moves], 95))
    much = moves & (pulls > MUCH * hardest)
    little = moves & (pulls > LITTLE[0] * hardest) & (pulls < LITTLE[1] * hardest)
    if hardest <= 0.0 or min(much.sum(), little.sum()) < FEWEST_STEPS:
        return float("nan")
    lead = np.log(np.maximum(fronts, LEAST_MPS) / np.maximum(rears, LEAST_MPS))
    return float(np.median(lead[much]) - np.median(lead[little]))


def _axle(wheels: Mapping[str | None, Matched], names: Sequence[str]) -> tuple[FloatArray, FloatArray] | None:
    """Times and mean speed of the wheels of one axle, on the clock of the first; None where the log has none."""
    there = [wheels[name] for name in names if name in wheels]
    if not there:
        return None
    time_s = there[0].column.time_s
    read = [each.conversion.apply(each.column.at(time_s)) for each in there if each.conversion is not None]
    mean = np.mean(read, axis=0)
    is_read = np.isfinite(mean)
    return (time_s[is_read], mean[is_read]) if is_read.any() else None


def _smoothed(values: FloatArray) -> FloatArray:
    return np.convolve(values, np.full(SMOOTHED_STEPS, 1.0 / SMOOTHED_STEPS), mode="same")
