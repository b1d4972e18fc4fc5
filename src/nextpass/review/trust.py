"""Which channels of a try cannot be taken as they stand, and the log without them.

A sensor that froze, a broken wire, front and rear wheel speeds on each other's plugs: each would put a false mark on
everything that rests on it. They are found before anything is computed, set aside (or put right), and reported.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions
from nextpass.log import Channel, Log
from nextpass.review.attempt import Attempt
from nextpass.words import Phrase

FloatArray = NDArray[np.float64]

DoubtKind = Literal["stuck", "implausible", "swapped", "reversed"]

FRONT = ("wheel_speed_fl_mps", "wheel_speed_fr_mps")
REAR = ("wheel_speed_rl_mps", "wheel_speed_rr_mps")
# Channels that no pull leaves unchanged for long, and for how long at most [s].
WHEEL_STUCK_S, STUCK_S = 1.0, 2.0
LIVELY: Mapping[str, float] = {
    **dict.fromkeys((*FRONT, *REAR), WHEEL_STUCK_S),
    "engine_rpm": STUCK_S,
    "vehicle_speed_mps": STUCK_S,
    "gps_speed_mps": STUCK_S,
    "longitudinal_acceleration_mps2": STUCK_S,
    "manifold_pressure_kpa": STUCK_S,
    "lambda_bank1": STUCK_S,
    "lambda_bank2": STUCK_S,
    "rail_pressure_kpa": STUCK_S,
}
# What is flat at the top of its own range and comes back is clipped, not stuck.
CAN_CLIP = ("manifold_pressure_kpa", "lambda_bank1", "lambda_bank2", "rail_pressure_kpa")
# Temperatures that a running car cannot have: colder than the air by more than a sensor is ever wrong, or molten.
TEMPERATURES = ("charge_temperature_c", "coolant_temperature_c", "oil_temperature_c", "gearbox_oil_temperature_c")
COLDER_THAN_AIR_C, HOTTEST_C = 20.0, 220.0
# What the log's reader says of an accelerometer that it turned round.
TURNED = "log.acceleration.braking"
# Axles are swapped where the free one slips under power by this more than the driven one, in the median.
SWAPPED_SLIP = 0.006
POWERED_MPS2, LEAST_MPS, LEAST_SAMPLES = 2.0, 6.0, 25
CLOSED = 0.08


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One thing that is wrong with a channel.

    Parameters
    ----------
    channels : tuple of str
        Canonical names.
    value : float
        Where it stuck, what it reads, or by what ratio the free axle slips.
    """

    kind: DoubtKind
    channels: tuple[str, ...]
    start_s: float
    end_s: float
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trusted:
    """The log as it can be believed, and what was found wrong with it."""

    log: Log
    doubts: tuple[Doubt, ...]


def trusted(car: Car, conditions: Conditions, log: Log, attempt: Attempt) -> Trusted:
    """A log without the channels that cannot be believed in one try, swapped axles put right.

    Parameters
    ----------
    car : Car
    conditions : Conditions
    log : Log
    attempt : Attempt

    Returns
    -------
    Trusted
    """
    doubts = [doubt for name in LIVELY if (doubt := _stuck(log, attempt, name)) is not None]
    doubts += [doubt for name in TEMPERATURES if (doubt := _implausible(conditions, log, attempt, name)) is not None]
    kept = _without(log, doubts)
    doubts += _put_right(log, attempt)
    swapped = _swapped(car, kept, attempt)
    if swapped is None:
        return Trusted(log=kept, doubts=tuple(doubts))
    return Trusted(log=_with_axles_exchanged(kept), doubts=(*doubts, swapped))


def _without(log: Log, doubts: list[Doubt]) -> Log:
    """The log without doubted channels; of a receiver that lost its fix, only the seconds without it are lost."""
    if not doubts:
        return log
    channels = {name: log[name] for name in log.channels}
    for doubt in doubts:
        for name in (name for name in doubt.channels if name in channels):
            channel = channels.pop(name)
            if name == "gps_speed_mps":
                held = (channel.time_s > doubt.start_s) & (channel.time_s < doubt.end_s)
                channels[name] = replace(channel, time_s=channel.time_s[~held], values=channel.values[~held])
    return replace(log, channels=channels)


def _stuck(log: Log, attempt: Attempt, name: str) -> Doubt | None:
    channel = log.get(name)
    if channel is None:
        return None
    held = _longest_hold(channel, attempt.leaves_s + 0.5, attempt.lift_s)
    if held is None or held[1] - held[0] < LIVELY[name] or not _others_moved(log, name, *held):
        return None
    value = float(channel.values[np.searchsorted(channel.time_s, held[0], side="right") - 1])
    if name in CAN_CLIP and _comes_back(channel, value, held[1]):
        return None
    return Doubt(kind="stuck", channels=(name,), start_s=held[0], end_s=held[1], value=value)


def _longest_hold(channel: Channel, start_s: float, end_s: float) -> tuple[float, float] | None:
    """Longest stretch between two changes of a channel, None where it has no sample before the end.

    A reader may leave repeats out, so that holding shows as an interval without samples just as well.
    """
    known = np.isfinite(channel.values) & (channel.time_s <= end_s)
    time_s, values = channel.time_s[known], channel.values[known]
    if time_s.size == 0:
        return None
    changes = time_s[1:][np.abs(np.diff(values)) > 1e-9]
    edges = np.concatenate([[start_s], changes[changes > start_s], [end_s]])
    longest = int(np.argmax(np.diff(edges)))
    return float(edges[longest]), float(edges[longest + 1])


def _others_moved(log: Log, name: str, start_s: float, end_s: float) -> bool:
    """Whether other channels were written meanwhile: else the logger dropped out, and no sensor is to blame."""
    for other in ("engine_rpm", "longitudinal_acceleration_mps2", "manifold_pressure_kpa", *FRONT, *REAR):
        channel = log.get(other)
        if other == name or channel is None:
            continue
        inside = (channel.time_s > start_s) & (channel.time_s < end_s) & np.isfinite(channel.values)
        values = channel.values[inside]
        if np.count_nonzero(np.diff(values)) > 8 and np.median(np.diff(channel.time_s[inside])) < 0.2:
            return True
    return False


def _comes_back(channel: Channel, value: float, after_s: float) -> bool:
    """Whether a channel leaves a flat top and the flat value is the highest that it ever has."""
    later = channel.values[(channel.time_s >= after_s) & np.isfinite(channel.values)]
    return bool(value >= np.nanmax(channel.values) and np.any(np.abs(later - value) > 1e-9))


def _implausible(conditions: Conditions, log: Log, attempt: Attempt, name: str) -> Doubt | None:
    channel = log.get(name) or _in_question(log, name)
    if channel is None:
        return None
    values = channel.values[(channel.time_s >= attempt.start_s) & (channel.time_s <= attempt.end_s)]
    values = values[np.isfinite(values)]
    if values.size == 0:
        return None
    typical = float(np.median(values))
    if conditions.air_temperature_c - COLDER_THAN_AIR_C <= typical <= HOTTEST_C:
        return None
    return Doubt(kind="implausible", channels=(name,), start_s=attempt.start_s, end_s=attempt.end_s, value=typical)


def _in_question(log: Log, name: str) -> Channel | None:
    """The column that would be a temperature, had its readings been possible, where it holds one reading throughout."""
    for match in log.questions:
        if match.channel == name and match.column in log.unmatched:
            column = log.unmatched[match.column]
            known = column.values[np.isfinite(column.values)]
            if known.size and np.ptp(known) == 0.0:
                return column
    return None


def _put_right(log: Log, attempt: Attempt) -> list[Doubt]:
    """An accelerometer whose sign was turned when the log was read."""
    name = "longitudinal_acceleration_mps2"
    for match in log.matches:
        if match.channel == name and isinstance(match.remark, Phrase) and match.remark.key == TURNED:
            return [Doubt(kind="reversed", channels=(name,), start_s=attempt.start_s, end_s=attempt.end_s, value=-1.0)]
    return []


def _swapped(car: Car, log: Log, attempt: Attempt) -> Doubt | None:
    """Swapped axles of a car with one driven axle: the free one slips under power, the driven one does not.

    Both are brought to one scale where they roll freely; without such a stretch, or with both axles driven, nothing
    can be told.
    """
    share = car.driveline.front_drive_share
    wheels = [name for name in (*FRONT, *REAR) if name in log]
    if 0.0 < share < 1.0 or not {"wheel_speed_fl_mps", "wheel_speed_rl_mps"} <= set(wheels):
        return None
    time_s = log["wheel_speed_fl_mps"].time_s
    time_s = time_s[(time_s > attempt.leaves_s) & (time_s < attempt.end_s)]
    front, rear = (np.mean([log[name].at(time_s) for name in axle if name in log], axis=0) for axle in (FRONT, REAR))
    free, driven = (front, rear) if share <= 0.0 else (rear, front)
    closed = _pedal_closed(log, time_s)
    if closed is None:
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.log(free / driven)
    usable = np.isfinite(ratio) & (free > LEAST_MPS)
    rolling = usable & closed & (time_s > attempt.lift_s + 0.5)
    rate = np.gradient(driven, time_s)
    pulling = usable & ~closed & (time_s < attempt.lift_s) & (rate > POWERED_MPS2)
    if min(np.count_nonzero(rolling), np.count_nonzero(pulling)) < LEAST_SAMPLES:
        return None
    slip = float(np.median(ratio[pulling]) - np.median(ratio[rolling]))
    if slip < SWAPPED_SLIP:
        return None
    channels = tuple(wheels)
    return Doubt(kind="swapped", channels=channels, start_s=attempt.leaves_s, end_s=attempt.lift_s, value=slip)


def _pedal_closed(log: Log, time_s: FloatArray) -> NDArray[np.bool_] | None:
    for name in ("pedal", "throttle"):
        if name in log:
            with np.errstate(invalid="ignore"):
                return np.asarray(log[name].at(time_s) < CLOSED)
    return None


def _with_axles_exchanged(log: Log) -> Log:
    channels = {name: log[name] for name in log.channels}
    for front, rear in zip(FRONT, REAR, strict=True):
        for here, there in ((front, rear), (rear, front)):
            if there in log:
                channels[here] = replace(log[there], name=here)
            else:
                channels.pop(here, None)
    return replace(log, channels=channels)
