"""What should be set before the car goes into other hands?

A valet, a workshop, a friend who drives: every adjuster that makes power or heat goes to the gentlest value that can be
dialled in, and the caps no higher than the weakest of the car's fuels allows, for nobody knows what will be in the tank
when it comes back. The sum says how much power is left, and a checklist what to do before and after.
"""

from dataclasses import dataclass

import numpy as np

from nextpass.car import (
    GEAR_PRESSURE_CAP,
    LAUNCH_PRESSURE,
    LAUNCH_RPM,
    MODELLED,
    SHIFT_RPM,
    AdjusterValue,
    Car,
    Setup,
)
from nextpass.measure import Estimate, Measured
from nextpass.physics import engine
from nextpass.words import phrase
from nextpass.workbench.worked import WorkedSum, line, worked_out

# How far torque at another pressure is known from the file's one curve, as a part of it (common practice).
TORQUE_LINE = 0.08

_BEFORE = ("note_setup", "tell_fuel", "own_switches", "tell_driver", "lock")
_AFTER = ("read_codes", "read_log", "check_fuel", "look_over", "set_back")


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherHands:
    """Limits for a car in other hands.

    Parameters
    ----------
    setup : Setup
        The gentlest values that can be dialled in; fuel and the owner's own adjusters as they were.
    changed : tuple of str
        Names of the adjusters that differ from the setup before.
    worked : WorkedSum
        What is left of the power.
    before, after : tuple of str
        Checklist for the hand-over and for the return.
    """

    setup: Setup
    changed: tuple[str, ...]
    worked: WorkedSum
    before: tuple[str, ...]
    after: tuple[str, ...]


def other_hands(car: Car, setup: Setup) -> OtherHands:
    """Gentlest setup of a car, what it leaves of the power, and what to see to.

    Parameters
    ----------
    car : Car
        Adjusters, fuels and torque curve.
    setup : Setup
        As the car stands now.

    Returns
    -------
    OtherHands

    References
    ----------
    Common practice.
    """
    gentle = _gentle_setup(car, setup)
    changed = tuple(name for name, value in gentle.values.items() if value != setup.values[name])
    weakest_kpa = min(fuel.manifold_pressure_max_kpa for fuel in car.fuels.values())
    return OtherHands(
        setup=gentle,
        changed=changed,
        worked=_power_sum(car, setup, gentle, weakest_kpa),
        before=tuple(phrase(f"workbench.other_hands.{step}") for step in _BEFORE),
        after=tuple(phrase(f"workbench.other_hands.{step}") for step in _AFTER),
    )


def _gentle_setup(car: Car, setup: Setup) -> Setup:
    def gentlest(name: str) -> AdjusterValue:
        adjuster = car.adjusters[name]
        if name == GEAR_PRESSURE_CAP:
            return (adjuster.minimum,) * car.gear_count
        return adjuster.minimum

    lowered = {
        name: gentlest(name)
        for name in (LAUNCH_RPM, LAUNCH_PRESSURE, GEAR_PRESSURE_CAP, SHIFT_RPM)
        if name in car.adjusters and name in setup.values
    }
    return setup.with_values(**lowered)


def _power_sum(car: Car, setup: Setup, gentle: Setup, weakest_kpa: float) -> WorkedSum:
    now_kpa, then_kpa = max(setup.gear_pressure_cap_kpa), max(gentle.gear_pressure_cap_kpa)
    now, then = _peak_power(car, now_kpa, setup.shift_rpm), _peak_power(car, then_kpa, gentle.shift_rpm)
    own = [name for name in setup.values if name not in MODELLED]
    return WorkedSum(
        title=phrase("workbench.title.other_hands"),
        inputs=(line("cap_now_kpa", now_kpa), line("cap_then_kpa", then_kpa), line("weakest_fuel_kpa", weakest_kpa)),
        steps=(),
        results=(
            line("power_now_w", now, "P = max ((T + T_f) p/p_ref - T_f) ω; T_f: Heywood 1988, (13.6)"),
            line("power_then_w", then, "P = max ((T + T_f) p/p_ref - T_f) ω; T_f: Heywood 1988, (13.6)"),
        ),
        cautions=(
            *((phrase("workbench.caution.cap_over_weakest", cap_kpa=then_kpa),) if then_kpa > weakest_kpa else ()),
            *((phrase("workbench.caution.own_adjusters", names=", ".join(own)),) if own else ()),
            phrase("workbench.caution.still_fast"),
            phrase("caution.local_law"),
        ),
    )


def _peak_power(car: Car, cap_kpa: float, shift_rpm: float) -> Measured:
    """Greatest power up to the shift; torque is affine in pressure, its zero at the engine's own friction."""
    curve_rpm, curve_nm = np.array(car.engine.full_load_torque_nm, dtype=np.float64).T
    rpm = np.arange(curve_rpm[0], min(shift_rpm, car.engine.rev_limit_rpm) + 1.0, 10.0)
    full_nm = np.interp(rpm, curve_rpm, curve_nm)
    friction_nm = engine.torque_nm(engine.motoring_friction_kpa(rpm), car.engine.displacement_l)

    def watts(scale: float) -> float:
        torque_nm = scale * (full_nm + friction_nm) * cap_kpa / car.engine.reference_pressure_kpa - friction_nm
        return float(np.max(engine.power_w(torque_nm, rpm)))

    return worked_out(watts, "power", scale=Estimate(value=1.0, plus_minus=TORQUE_LINE))
