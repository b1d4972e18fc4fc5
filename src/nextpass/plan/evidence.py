"""What the passes themselves allow and forbid, read from their logs without any model.

The step guard stands on this: a pressure counts as shown clean where a pass held it in gear for a moment and none of
the limits was crossed in that gear. Knock bounds the caps of its fuel from then on. A gear whose tyres were past the
slip of their greatest pull does not get a higher cap.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from nextpass.car import LAUNCH_PRESSURE, Car, Setup
from nextpass.fit import KNOCKS_DEG, duty_by_gear
from nextpass.log import Log
from nextpass.plan.plan import BindingCause
from nextpass.review import Phase, Review, ReviewedPass, Severity, limits_of

FloatArray = NDArray[np.float64]

# A pressure is held when it does not fall below it for this long [s]: longer than an overshoot, shorter than a gear.
HELD_S = 0.25
RATE_HZ = 50.0
# A cap stays this far below a pressure at which the knock guard would be crossed [kPa]: one usual step of a cap.
KNOCK_MARGIN_KPA = 5.0
# Once an engine knocks, a steep one loses this much ignition for each further kPa (common practice: a degree for 5 to
# 15 kPa). What lasts for less is no knock [s].
STEEP_DEGPKPA = 0.2
KNOCKS_S = 0.1
# Part of the injector guard that is left for a larger overshoot in the first gear, where wheels spin and the
# turbocharger comes in: on the proving ground 13 % more cap brought 17 % more duty once.
FIRST_GEAR_ROOM = 0.04
# Tyres that spun in one gear still spin when the next one is in. Where they hold the road again this soon [s] at its
# full pull, it is not that gear which slips them.
RUN_OUT_S = 0.4
FULL_THROTTLE = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What the passes show.

    Parameters
    ----------
    clean_kpa : float or None
        Highest manifold pressure that a pass has shown clean; None where no log shows any.
    knock_kpa : Mapping[str, float]
        By fuel: highest cap by what logs show of knock; a fuel on which no engine knocked is missing.
    slipping_gears : frozenset of int
        Gears of the newest pass whose own pull took the tyres past the slip of their greatest pull; not those that only
        run out a spin of the gear before.
    gears : tuple of int
        Gears that any pass used, first to highest.
    first_cap_kpa, launch_kpa : float
        Highest cap of the first gear, and highest launch pressure, that any pass ran; a launch pressure is 0 where the
        car has none.
    first_duty_per_kpa : float
        Greatest injector duty that a log showed in the first gear over that gear's cap [1/kPa]; 0 where none shows any.
    overshoot_kpa : Mapping[int, float]
        By how much a log exceeded the cap of a gear and that of the gear before it, by gear [kPa]; 0 where none did.
    """

    clean_kpa: float | None
    knock_kpa: Mapping[str, float]
    slipping_gears: frozenset[int]
    gears: tuple[int, ...]
    first_cap_kpa: float
    first_duty_per_kpa: float
    launch_kpa: float
    overshoot_kpa: Mapping[int, float]

    def gear_ceiling(self, car: Car, newest: Setup, fuel: str, gear: int) -> tuple[float, BindingCause]:
        """Highest cap that a plan may set in a gear, counted from 1, on a fuel [kPa], and what sets it."""
        limit_kpa = car.fuels[fuel].manifold_pressure_max_kpa
        # What a cap overshoots by, it must stay under the fuel's limit for a review to pass it.
        over_kpa = max(self.overshoot_kpa.get(gear, 0.0) - limits_of(car)["over_fuel_limit_kpa"], 0.0)
        ceilings: list[tuple[float, BindingCause]] = [
            (limit_kpa - over_kpa, "fuel"),
            (self.knock_kpa.get(fuel, np.inf), "knock"),
            (self._stepped_kpa(car, newest), "step guard"),
        ]
        if gear == 1:
            ceilings += self._first_gear_ceilings(car)
        return min(ceilings, key=lambda pair: pair[0])

    def _stepped_kpa(self, car: Car, newest: Setup) -> float:
        # Where no log shows any pressure, nothing above what is dialled in has been shown.
        if self.clean_kpa is None:
            return max(newest.gear_pressure_cap_kpa)
        return self.clean_kpa + car.guards.pressure_step_kpa

    def _first_gear_ceilings(self, car: Car) -> list[tuple[float, BindingCause]]:
        """The first gear is bound to what that gear ran.

        The turbocharger comes in there, and overshoots: what other gears held clean says little of it.
        """
        ceilings: list[tuple[float, BindingCause]] = [(self.first_cap_kpa + car.guards.pressure_step_kpa, "step guard")]
        if self.first_duty_per_kpa:
            # Fuel goes with air, and air at one engine speed with pressure (ideal gas): duty grows with the cap, and
            # with what the pressure overshoots it by.
            most = (1.0 - FIRST_GEAR_ROOM) * car.guards.injector_duty
            ceilings.append((most / self.first_duty_per_kpa, "injector"))
        return ceilings

    def launch_ceiling_kpa(self, car: Car) -> float:
        """Highest launch pressure [kPa]: what gears held clean says nothing of what the tyres do at the line."""
        return self.launch_kpa + car.guards.pressure_step_kpa


def evidence_of(car: Car, passes: Sequence[ReviewedPass]) -> Evidence:
    """What the passes of a car show, oldest first.

    Parameters
    ----------
    car : Car
        For its limits.
    passes : sequence of ReviewedPass
        At least one; the last is the newest.

    Returns
    -------
    Evidence
    """
    held_kpa: defaultdict[str, list[float]] = defaultdict(list)
    knocks: defaultdict[str, list[_Knock]] = defaultdict(list)
    gears = {1}
    for one in passes:
        setup = one.record.setup
        for phase in one.review.phases:
            if phase.kind != "gear" or phase.gear is None or phase.gear > car.gear_count:
                continue
            gears.add(phase.gear)
            shown = _held_kpa(one.log, phase)
            if shown is None:
                continue
            if not _crossed(car, one.log, phase):
                # More than the cap was not asked for: an overshoot shows nothing that could be asked for again.
                held_kpa[setup.fuel].append(min(shown, setup.gear_pressure_cap_kpa[phase.gear - 1]))
            knock = _knock(car, one.log, phase)
            if knock is not None:
                knocks[setup.fuel].append(knock)
    overshoots = [_overshoot_kpa(car, one) for one in passes]
    return Evidence(
        clean_kpa=max(chain.from_iterable(held_kpa.values()), default=None),
        knock_kpa={fuel: _knock_ceiling_kpa(shown, held_kpa[fuel]) for fuel, shown in knocks.items()},
        slipping_gears=_slipping(passes[-1].review),
        gears=tuple(range(1, max(gears) + 1)),
        first_cap_kpa=max(one.record.setup.gear_pressure_cap_kpa[0] for one in passes),
        first_duty_per_kpa=max(
            duty_by_gear(one).get(1, 0.0) / one.record.setup.gear_pressure_cap_kpa[0] for one in passes
        ),
        launch_kpa=max(launch_pressure_kpa(one.record.setup) for one in passes),
        overshoot_kpa={gear: max(one.get(gear, 0.0) for one in overshoots) for gear in range(1, car.gear_count + 1)},
    )


def _overshoot_kpa(car: Car, one: ReviewedPass) -> dict[int, float]:
    """By how much the pressure of a pass exceeded its caps for as long as a review minds, by gear [kPa].

    What the gear before left does not count.
    """
    caps_kpa = one.record.setup.gear_pressure_cap_kpa
    minded_s = limits_of(car)["overshoot_s"]
    found: dict[int, float] = {}
    for phase in one.review.phases:
        if phase.kind == "gear" and phase.gear is not None and phase.gear <= len(caps_kpa):
            lasting_kpa = _lasting(_sampled(one.log, "manifold_pressure_kpa", phase), minded_s)
            if lasting_kpa is not None:
                asked_kpa = max(caps_kpa[max(phase.gear - 2, 0) : phase.gear])
                found[phase.gear] = max(lasting_kpa - asked_kpa, found.get(phase.gear, 0.0))
    return found


def _lasting(values: FloatArray | None, lasts_s: float) -> float | None:
    """Highest value that samples stay at or above for so long [s], None where there is none."""
    width = max(round(lasts_s * RATE_HZ), 1)
    if values is None or len(values) < width:
        return None
    floors = np.lib.stride_tricks.sliding_window_view(values, width).min(axis=1)
    floors = floors[np.isfinite(floors)]
    return float(floors.max()) if len(floors) else None


def launch_pressure_kpa(setup: Setup) -> float:
    """Launch pressure of a setup [kPa]; 0 where the car has none to set."""
    return setup.launch_pressure_kpa if LAUNCH_PRESSURE in setup.values else 0.0


def _slipping(review: Review) -> frozenset[int]:
    """Gears of a pass whose own pull took their tyres past the slip of their greatest pull."""
    spins = {
        finding.gear: finding
        for finding in review.findings
        if finding.code == "wheel-slip" and finding.gear is not None and finding.severity is not Severity.NOTE
    }
    entered_s = {phase.gear: phase.start_s for phase in reversed(review.phases) if phase.kind == "gear"}
    return frozenset(
        gear
        for gear, spin in spins.items()
        if gear - 1 not in spins or spin.end_s > entered_s.get(gear, -np.inf) + RUN_OUT_S
    )


def _held_kpa(log: Log, phase: Phase) -> float | None:
    """Highest pressure that was held for a moment under full load in a gear."""
    pressure = _sampled(log, "manifold_pressure_kpa", phase)
    if pressure is None:
        return None
    throttle = _sampled(log, "throttle", phase)
    if throttle is not None:
        pressure = np.where(np.nan_to_num(throttle, nan=1.0) >= FULL_THROTTLE, pressure, np.nan)
    return _lasting(pressure, HELD_S)


def _sampled(log: Log, name: str, phase: Phase) -> FloatArray | None:
    channel = log.get(name)
    if channel is None:
        return None
    count = int((phase.end_s - phase.start_s) * RATE_HZ)
    return channel.at(phase.start_s + np.arange(max(count, 0)) / RATE_HZ)


def _crossed(car: Car, log: Log, phase: Phase) -> bool:
    """Whether one of the limits that pressure can cross was crossed in a gear, for longer than a flicker."""
    guards = car.guards
    limits = {
        "knock_retard_deg": guards.knock_retard_deg,
        "injector_duty": guards.injector_duty,
        "lambda_bank1": guards.wot_lambda_max,
        "lambda_bank2": guards.wot_lambda_max,
        "charge_temperature_c": guards.charge_air_c,
    }
    return any(_lasts_over(log, name, limit, phase) for name, limit in limits.items())


def _lasts_over(log: Log, name: str, limit: float, phase: Phase) -> bool:
    values = _sampled(log, name, phase)
    if values is None:
        return False
    over = np.nan_to_num(values, nan=-np.inf) > limit
    # The mixture swings at the entry of a gear: only what lasts through its middle counts.
    return bool(np.count_nonzero(over) > HELD_S * RATE_HZ)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Knock:
    """Pressure at which a gear that knocked comes to the knock guard on a steep engine, and whether it crossed it."""

    guard_kpa: float
    is_crossed: bool


def _knock_ceiling_kpa(knocks: Sequence[_Knock], held_kpa: Sequence[float]) -> float:
    """Highest cap by what the gears of a fuel show of knock.

    One gear may knock a little where another runs clean: what was held says more than what would come of little.
    """
    held = max(held_kpa, default=0.0)
    ceilings = [(one.guard_kpa - KNOCK_MARGIN_KPA, one.is_crossed) for one in knocks]
    return min(kpa if is_crossed else max(kpa, held) for kpa, is_crossed in ceilings)


def _knock(car: Car, log: Log, phase: Phase) -> _Knock | None:
    """What a gear shows of knock, None where it did not knock."""
    retard = _sampled(log, "knock_retard_deg", phase)
    pressure = _sampled(log, "manifold_pressure_kpa", phase)
    most_deg = _lasting(retard, KNOCKS_S)
    if retard is None or pressure is None or most_deg is None or most_deg < KNOCKS_DEG:
        return None
    at_most = pressure[np.nan_to_num(retard) >= most_deg]
    if not np.isfinite(at_most).any():
        return None
    left_deg = car.guards.knock_retard_deg - most_deg
    return _Knock(guard_kpa=float(np.nanmedian(at_most)) + left_deg / STEEP_DEGPKPA, is_crossed=left_deg < 0.0)
