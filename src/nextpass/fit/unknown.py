"""What the passes leave open, and for each the one measurement that would tell most."""

import numpy as np
from numpy.typing import NDArray

from nextpass.fit.residuals import Problem
from nextpass.fit.solve import Solution
from nextpass.fit.spread import Spread
from nextpass.sim import OUTPUTS, drive_many
from nextpass.words import phrase

FloatArray = NDArray[np.float64]

# A value counts as open while the passes have taken less than this share of its width from it, and moves ET by more
# than this, or stands behind a guard.
_STILL_WIDE = 0.6
_MATTERS_S = 0.015
_BEHIND_GUARDS = ("knock_onset_kpa", "pump_flow_scale", "clutch_capacity_scale", "fuel_flow_scale")
_MOST = 5
# Values that one measurement tells together share a text.
_SUBJECT = {
    "mass_kg": "mass",
    "torque_scale": "torque",
    "torque_low_scale": "torque",
    "torque_high_scale": "torque",
    "torque_pressure_slope": "pressure_slope",
    "charge_temperature_exponent": "charge_effect",
    "charge_rise_share": "charge_heat",
    "charge_rise_growth": "charge_heat",
    "cooler_core_share": "charge_heat",
    "cooler_core_s": "charge_heat",
    "charge_time_s": "charge_heat",
    "peak_friction": "friction",
    "peak_slip": "slip",
    "sliding_share": "slip",
    "load_sensitivity": "slip",
    "axle_coupling_nm_per_radps": "slip",
    "gearbox_inertia_kgm2": "slip",
    "drag_area_m2": "drag",
    "rolling_resistance": "drag",
    "pressure_rise_s": "rise",
    "pressure_rise_exponent": "rise",
    "threshold_rpm": "rise",
    "threshold_exponent": "rise",
    "staged_s": "rise",
    "launch_release_s": "launch",
    "launch_hold_s": "launch",
    "launch_feed": "launch",
    "launch_flare_rpm": "launch",
    "shift_time_s": "shift",
    "shift_torque_share": "shift",
    "fuel_flow_scale": "injectors",
    "pump_flow_scale": "pumps",
    "clutch_capacity_scale": "clutch",
    "knock_onset_kpa": "knock",
}


def unknown_of(problem: Problem, solution: Solution, spread: Spread) -> tuple[str, ...]:
    """What is still open, the most important first.

    Parameters
    ----------
    problem : Problem
    solution : Solution
    spread : Spread

    Returns
    -------
    tuple of str
        One sentence each, with the measurement that would tell most.
    """
    effects = _effects_s(problem, solution, spread)
    weight: dict[str, float] = {}
    for i, one in enumerate(problem.what):
        field = one.name.partition(".")[0]
        subject = _SUBJECT.get(field)
        if subject is None or spread.sd[i] < _STILL_WIDE:
            continue
        guarded = field in _BEHIND_GUARDS
        if guarded or effects[i] > _MATTERS_S:
            weight[subject] = max(weight.get(subject, 0.0), float(effects[i]))
    ranked = sorted(weight, key=lambda subject: -weight[subject])
    return tuple(phrase(f"unknown.{subject}") for subject in ranked[:_MOST])


def _effects_s(problem: Problem, solution: Solution, spread: Spread) -> FloatArray:
    """By how much ET of the newest pass moves with one standard deviation of what is left of each learnable [s]."""
    n = len(problem.what)
    if not problem.passes:
        return np.ones(n)
    moved = solution.point + np.eye(problem.size)[:n] * spread.sd[:n, None]
    rows = problem.rows(np.concatenate([solution.point[None], moved]), [len(problem.passes) - 1])[:, 0]
    times = drive_many(rows)[:, OUTPUTS.index("et_s")]
    return np.asarray(np.nan_to_num(np.abs(times[1:] - times[0]), nan=1.0))
