"""What drifts over a season, how surely, and when it will reach its limit.

Each figure of wear is laid over the launches that the car has made. The slope is Theil-Sen's, which a wild pass does
not tilt, its evidence Mann-Kendall's, which asks for order alone. A season shows a dozen figures, and one of twenty
would seem to drift by chance: the evidence is asked of all of them together (Bonferroni). What depends on fuel is
followed on the commonest fuel alone; what follows the air is freed of it where the season itself shows by how much.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.health.figures import PassFigures
from nextpass.measure import Absent, Estimate, Measured, Trend, robust_sd, theil_sen
from nextpass.review.findings import limits_of
from nextpass.words import phrase

FloatArray = NDArray[np.float64]

SIGNIFICANCE: Final = 0.05
"""Risk that a season without any drift shows one, over all figures together."""
LEAST_PASSES: Final = 6
"""Fewer passes than this show no trend that could be told from chance among a dozen figures."""
FARTHEST_LAUNCHES: Final = 2000.0
"""A limit that lies further ahead is no use to anybody."""

# Idle swing that a driver feels, and a pump that has lost its reserve (common practice).
ROUGH_IDLE_RPM, WEAK_PUMP, WEAK_COOLER = 40.0, 0.70, 0.50
# The air's share is taken out where it explains this much of what the trend leaves.
_EXPLAINED = 0.5


class Drift(StrEnum):
    """What may be said of one figure over the season."""

    DRIFTS = "drifts"
    STEADY = "steady"
    CANNOT_TELL = "cannot tell"  # too few passes


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureKind:
    """How one figure is judged.

    Parameters
    ----------
    matters : float
        Change over a season below which a drift is not worth a word, in the figure's unit.
    wears : int
        +1 where wear raises it, -1 where it lowers it, 0 where neither is wear.
    same_fuel : bool
        Depends on the fuel.
    follows_air : bool
        Follows the air's temperature.
    limit : callable
        Limit of this car from its passes, in the figure's unit; nan where there is none.
    """

    matters: float
    wears: int
    same_fuel: bool = False
    follows_air: bool = False
    limit: Callable[[Car, Sequence[PassFigures]], float] = lambda _car, _passes: math.nan


def _carried_most(_car: Car, passes: Sequence[PassFigures]) -> float:
    """A pack that holds no more than the season's greatest torque will slip."""
    carried = [one.wear["clutch_torque_nm_max"] for one in passes if "clutch_torque_nm_max" in one.wear]
    return max(carried, default=math.nan)


KINDS: Final[Mapping[str, FigureKind]] = MappingProxyType(
    {
        "clutch_a_capacity_nm": FigureKind(matters=30.0, wears=-1, limit=_carried_most),
        "clutch_b_capacity_nm": FigureKind(matters=30.0, wears=-1, limit=_carried_most),
        "clutch_a_held_kpa": FigureKind(matters=40.0, wears=0),
        "clutch_b_held_kpa": FigureKind(matters=40.0, wears=0),
        "clutch_a_bite_kpa": FigureKind(matters=15.0, wears=0),
        "launch_delay_s": FigureKind(matters=0.03, wears=1),
        "shift_s": FigureKind(
            matters=0.02,
            wears=1,
            limit=lambda car, _: car.driveline.shift_time_s + limits_of(car)["shift_over_s"],
        ),
        "idle_roughness_rpm": FigureKind(matters=5.0, wears=1, limit=lambda *_: ROUGH_IDLE_RPM),
        "trim_bank1": FigureKind(matters=0.015, wears=1, same_fuel=True, limit=lambda car, _: limits_of(car)["trim"]),
        "trim_bank2": FigureKind(matters=0.015, wears=1, same_fuel=True, limit=lambda car, _: limits_of(car)["trim"]),
        "trims_apart": FigureKind(matters=0.015, wears=1, limit=lambda car, _: limits_of(car)["banks_trim_apart"]),
        "injector_duty_per_air": FigureKind(matters=0.002, wears=1, same_fuel=True),
        "pump_strength": FigureKind(matters=0.03, wears=-1, limit=lambda *_: WEAK_PUMP),
        "rail_pressure_drop": FigureKind(
            matters=0.02, wears=1, same_fuel=True, limit=lambda car, _: car.guards.rail_pressure_drop
        ),
        "cooler_effectiveness": FigureKind(matters=0.04, wears=-1, limit=lambda *_: WEAK_COOLER),
        "launch_gearbox_oil_temperature_c": FigureKind(
            matters=5.0, wears=1, follows_air=True, limit=lambda car, _: car.guards.gearbox_oil_c
        ),
        "battery_v_min": FigureKind(matters=0.3, wears=-1, limit=lambda car, _: limits_of(car)["battery_act_v"]),
        "oil_pressure_kpa_gauge": FigureKind(matters=30.0, wears=-1),
        "rolling_radius_m": FigureKind(matters=0.002, wears=-1),
    }
)
"""Figures that are followed, by name. What matters is common practice: what a calibrator would act on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """When a figure will stand at its limit, in launches from the newest.

    Parameters
    ----------
    launches : float
        By the slope itself.
    soonest, latest : float
        By the ends of the slope's 90 % interval; infinite where the slow end does not reach it.
    """

    launches: float
    soonest: float
    latest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureTrend:
    """One figure over the season.

    Parameters
    ----------
    name : str
        With unit.
    passes : tuple of str
        Names of the passes that show it.
    launches : tuple of float
        Count of the car's launches at each.
    values : tuple of float
        As the logs show it.
    trend : Trend or Absent
        Over launches.
    drift : Drift
    over_season : Estimate or Absent
        Change from the first pass to the last, by the trend.
    now : Estimate or Absent
        Where it stands at the newest pass, by the trend.
    freed_of_air : bool
        Whether the air's share was taken out.
    is_wear : bool
        Whether it moves the way in which wear moves it.
    limit : float or None
    reach : Reach or Absent
    """

    name: str
    passes: tuple[str, ...]
    launches: tuple[float, ...]
    values: tuple[float, ...]
    trend: Trend | Absent
    drift: Drift
    over_season: Measured
    now: Measured
    freed_of_air: bool
    is_wear: bool
    limit: float | None
    reach: Reach | Absent


def trends_of(car: Car, passes: Sequence[PassFigures]) -> tuple[FigureTrend, ...]:
    """Every figure that the season shows, drifting ones first.

    Parameters
    ----------
    car : Car
        For its limits.
    passes : sequence of PassFigures
        In the order in which they were run.
    """
    series = {name: found for name in KINDS if (found := _series(name, passes)) is not None}
    tested = sum(len(found.values) >= LEAST_PASSES for found in series.values())
    trends = [_trend(car, passes, name, found, max(tested, 1)) for name, found in series.items()]
    order = list(Drift)
    return tuple(sorted(trends, key=lambda trend: order.index(trend.drift)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Series:
    names: tuple[str, ...]
    launches: FloatArray
    values: FloatArray
    air_c: FloatArray


def _series(name: str, passes: Sequence[PassFigures]) -> _Series | None:
    """A figure over the launches, on the commonest fuel where it depends on it."""
    fuels = [one.fuel for one in passes]
    fuel = max(fuels, key=fuels.count) if KINDS[name].same_fuel else None
    # Every pass is a launch, whether its log shows the figure or not.
    shown = [
        (count, one)
        for count, one in enumerate(passes, start=1)
        if name in one.wear and (fuel is None or one.fuel == fuel)
    ]
    if not shown:
        return None
    return _Series(
        names=tuple(one.name for _, one in shown),
        launches=np.array([float(count) for count, _ in shown]),
        values=np.array([one.wear[name] for _, one in shown]),
        air_c=np.array([one.air_temperature_c for _, one in shown]),
    )


def _trend(car: Car, passes: Sequence[PassFigures], name: str, series: _Series, tested: int) -> FigureTrend:
    kind = KINDS[name]
    values, freed = _freed_of_air(series) if kind.follows_air else (series.values, False)
    trend: Trend | Absent = theil_sen(series.launches, values)
    if series.values.size < LEAST_PASSES:
        trend = Absent(reason=phrase("ledger.absent.few_passes", count=series.values.size, least=LEAST_PASSES))
    limit = kind.limit(car, passes)
    known = limit if math.isfinite(limit) else None
    if isinstance(trend, Absent):
        return FigureTrend(
            name=name,
            passes=series.names,
            launches=tuple(series.launches.tolist()),
            values=tuple(series.values.tolist()),
            trend=trend,
            drift=Drift.CANNOT_TELL,
            over_season=trend,
            now=trend,
            freed_of_air=freed,
            is_wear=False,
            limit=known,
            reach=trend,
        )
    span = float(series.launches[-1] - series.launches[0])
    over = Estimate(value=trend.slope.value * span, plus_minus=trend.slope.plus_minus * span)
    drifts = (
        trend.p_value < SIGNIFICANCE / tested and abs(over.value) >= kind.matters and abs(over.value) > over.plus_minus
    )
    now = _now(series, values, trend)
    return FigureTrend(
        name=name,
        passes=series.names,
        launches=tuple(series.launches.tolist()),
        values=tuple(series.values.tolist()),
        trend=trend,
        drift=Drift.DRIFTS if drifts else Drift.STEADY,
        over_season=over,
        now=now,
        freed_of_air=freed,
        is_wear=drifts and kind.wears != 0 and math.copysign(1.0, over.value) == kind.wears,
        limit=known,
        reach=_reach(now, trend, known) if drifts else Absent(reason=phrase("ledger.absent.no_drift")),
    )


def _now(series: _Series, values: FloatArray, trend: Trend) -> Estimate:
    """The line at the newest pass; its ± from the scatter about the line and from the slope over half the season."""
    left = values - trend.intercept - trend.slope.value * series.launches
    level = Estimate.from_sd(0.0, robust_sd(left) / math.sqrt(values.size)).plus_minus
    half = 0.5 * float(series.launches[-1] - series.launches[0])
    return Estimate(
        value=trend.at(float(series.launches[-1])), plus_minus=math.hypot(level, trend.slope.plus_minus * half)
    )


def _freed_of_air(series: _Series) -> tuple[FloatArray, bool]:
    """Values at the season's mean air, where the air explains what launches do not.

    Launches, air and level are fitted together, so that a season that grows warmer is not taken for wear or the other
    way round.
    """
    air = series.air_c - series.air_c.mean()
    if series.values.size < LEAST_PASSES or float(np.std(air)) < 1.0:
        return series.values, False
    plain = np.stack([np.ones(air.size), series.launches], axis=1)
    both = np.column_stack([plain, air])
    left_plain = _left(plain, series.values)
    by_air = np.linalg.lstsq(both, series.values, rcond=None)[0][2]
    if float(np.sum(_left(both, series.values) ** 2)) > (1.0 - _EXPLAINED) * float(np.sum(left_plain**2)):
        return series.values, False
    return series.values - by_air * air, True


def _left(design: FloatArray, values: FloatArray) -> FloatArray:
    return np.asarray(values - design @ np.linalg.lstsq(design, values, rcond=None)[0])


def _reach(now: Estimate, trend: Trend, limit: float | None) -> Reach | Absent:
    """Launches to the limit; Absent where there is none, or the figure moves away from it."""
    if limit is None:
        return Absent(reason=phrase("ledger.absent.no_limit"))
    far = limit - now.value
    slope = trend.slope
    if far * slope.value <= 0.0:
        # Past its limit already when the limit lies behind in the direction of the drift.
        return Absent(reason=phrase("ledger.absent.past_limit"))
    launches = far / slope.value
    if launches > FARTHEST_LAUNCHES:
        return Absent(reason=phrase("ledger.absent.far_off"))
    size, reach = abs(far), now.plus_minus
    quick, slow = abs(slope.value) + slope.plus_minus, abs(slope.value) - slope.plus_minus
    return Reach(
        launches=launches,
        soonest=max(size - reach, 0.0) / quick,
        latest=(size + reach) / slow if slow > 0.0 else math.inf,
    )
