"""What holds the pressure cap of each gear, what relaxing it would bring, and where the guards and the tyres stand.

Each gear's cap is swept over its whole range with the rest of the plan as it is, in a few scenarios: where the first
guard gives way is the guard's rung, where the tyres go past their best pull is theirs. What binds is found one step
above the planned cap.
"""

from dataclasses import dataclass

import numpy as np

from nextpass.car import GEAR_PRESSURE_CAP, Adjuster, Setup
from nextpass.plan.choose import Bounds
from nextpass.plan.expected import FloatArray, Scenarios, elapsed_s, figure
from nextpass.plan.guards import first_crossed
from nextpass.plan.panel import panel_of
from nextpass.plan.plan import Binding, BindingCause, Rung
from nextpass.plan.trust import Trust
from nextpass.words import Phrase, phrase

CAUSE_OF_GUARD: dict[str, BindingCause] = {
    "injector_duty_pct": "injector",
    "rail_pressure_drop_pct": "pump",
    "knock_retard_deg": "knock",
    "wot_lambda_max": "fuel",
    "clutch_energy_kj": "clutch",
    "gearbox_oil_c": "clutch",
    "charge_air_c": "charge heat",
}
# A gear is bound by traction when its tyres are at their limit for this share of it.
TRACTION_SHARE = 0.15
# By how much a bound is relaxed to tell what it costs: pressure [kPa], grip [-].
RELAXED_KPA = 20.0
RELAXED_GRIP = 0.05
# Caps of one gear that the sweep tries.
SWEPT = 8


def ladder_of(
    scenarios: Scenarios, trust: Trust, newest: Setup, setup: Setup, bounds: Bounds
) -> tuple[tuple[Binding, ...], tuple[Rung, ...]]:
    """What binds the cap of each gear, and the rungs of the ladder.

    Parameters
    ----------
    scenarios : Scenarios
        Versions of the car on the day to come.
    trust : Trust
        How far they may be believed.
    newest, setup : Setup
        Last setup and plan.
    bounds : Bounds
        What the plan was held to.

    Returns
    -------
    tuple of Binding
        One a gear.
    tuple of Rung
        One a gear.
    """
    adjuster = scenarios.car.adjusters[GEAR_PRESSURE_CAP]
    relaxed = _relaxed(scenarios, trust, setup, adjuster, bounds)
    sweep = _sweep(scenarios, trust, setup, adjuster, bounds)
    bindings: list[Binding] = []
    rungs: list[Rung] = []
    for gear, cap_kpa in enumerate(setup.gear_pressure_cap_kpa, start=1):
        binding = _binding(gear, cap_kpa, adjuster, bounds, relaxed)
        bindings.append(binding)
        guard_kpa, guard_by = _guard_rung(gear, sweep.get(gear), cap_kpa, adjuster, bounds)
        rungs.append(
            Rung(
                gear=gear,
                last_kpa=newest.gear_pressure_cap_kpa[gear - 1],
                next_kpa=cap_kpa,
                guard_kpa=guard_kpa,
                guard_by=guard_by,
                tyre_kpa=_tyre_rung(sweep.get(gear)),
            )
        )
    return tuple(bindings), tuple(rungs)


def with_cap(setup: Setup, gear: int, cap_kpa: float) -> Setup:
    """A setup with another cap in one gear, counted from 1."""
    caps = setup.gear_pressure_cap_kpa
    return setup.with_values(**{GEAR_PRESSURE_CAP: (*caps[: gear - 1], cap_kpa, *caps[gear:])})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Relaxed:
    """Outputs of the plan and of each cap relaxed, the guard that it would cross, what more grip gains [s].

    `crossed` by one step up, `crossed_freed` by the cap relaxed.
    """

    plan: FloatArray
    crossed: dict[int, str | None]
    crossed_freed: dict[int, str | None]
    freed: dict[int, FloatArray]
    grip_gain_s: float


def _relaxed(scenarios: Scenarios, trust: Trust, setup: Setup, adjuster: Adjuster, bounds: Bounds) -> _Relaxed:
    caps = setup.gear_pressure_cap_kpa
    ups = [with_cap(setup, gear, caps[gear - 1] + adjuster.step) for gear in bounds.gears]
    freed = [with_cap(setup, gear, caps[gear - 1] + RELAXED_KPA) for gear in bounds.gears]
    outputs = scenarios.drive([setup, *ups, *freed])
    gripped = scenarios.with_grip(1.0 + RELAXED_GRIP).drive([setup])
    stepped, relaxed = outputs[:, 1 : 1 + len(ups)], outputs[:, 1 + len(ups) :]

    def crossed(of: FloatArray, setups: list[Setup]) -> dict[int, str | None]:
        guards = scenarios.car.guards
        return {gear: first_crossed(of[:, i], setups[i], trust, guards) for i, gear in enumerate(bounds.gears)}

    return _Relaxed(
        plan=outputs[:, 0],
        crossed=crossed(stepped, ups),
        crossed_freed=crossed(relaxed, freed),
        freed={gear: relaxed[:, i] for i, gear in enumerate(bounds.gears)},
        grip_gain_s=float(elapsed_s(outputs[:, 0]).mean() - elapsed_s(gripped[:, 0]).mean()),
    )


def _binding(gear: int, cap_kpa: float, adjuster: Adjuster, bounds: Bounds, relaxed: _Relaxed) -> Binding:
    def bound(by: BindingCause, gain_s: float, detail: Phrase) -> Binding:
        return Binding(gear=gear, by=by, gain_s=max(gain_s, 0.0), detail=detail)

    plan = relaxed.plan
    seconds = float(np.mean(np.nan_to_num(figure(plan, f"gear{gear}_seconds"))))
    if gear not in relaxed.freed or seconds <= 0.0:
        return bound("nothing", 0.0, phrase("plan.binding.unused"))
    expected_s = elapsed_s(plan).mean()
    freed_s = float(expected_s - elapsed_s(relaxed.freed[gear]).mean())
    limited = _limited_s(plan, gear) / seconds
    share = _limited_s(plan, gear) / max(sum(_limited_s(plan, other) for other in bounds.gears), 1e-9)
    grip_s = relaxed.grip_gain_s * share
    traction = phrase("plan.binding.traction", percent=f"{100.0 * RELAXED_GRIP:.0f}", gain=f"{grip_s:.3f}")
    if gear in bounds.held_gears:
        return bound("traction", grip_s, phrase("plan.binding.slipping"))
    ceiling_kpa, ceiling_by = bounds.of_gear(gear)
    if cap_kpa + adjuster.step > ceiling_kpa + 1e-6:
        return bound(ceiling_by, freed_s, phrase(f"plan.binding.{ceiling_by.replace(' ', '_')}"))
    if cap_kpa + adjuster.step > adjuster.maximum + 1e-6:
        return bound("adjuster range", freed_s, phrase("plan.binding.adjuster_range"))
    crossed = relaxed.crossed[gear]
    if crossed is not None:
        by = CAUSE_OF_GUARD[crossed]
        return bound(by, freed_s, phrase("plan.binding.guard", guard=phrase(f"guard.{crossed}")))
    if limited > TRACTION_SHARE:
        return bound("traction", grip_s, traction)
    reached_kpa = float(np.mean(np.nan_to_num(figure(relaxed.freed[gear], f"gear{gear}_pressure_kpa"))))
    if reached_kpa < cap_kpa + 0.5 * RELAXED_KPA:
        return bound("nothing", 0.0, phrase("plan.binding.not_held"))
    if float(np.mean(np.nan_to_num(figure(relaxed.freed[gear], f"gear{gear}_clutch_use")))) >= 1.0:
        return bound("clutch", freed_s, phrase("plan.binding.clutch"))
    crossed = relaxed.crossed_freed[gear]
    if crossed is not None:
        near = phrase("plan.binding.guard_near", kpa=f"{RELAXED_KPA:.0f}", guard=phrase(f"guard.{crossed}"))
        return bound(CAUSE_OF_GUARD[crossed], freed_s, near)
    return bound("nothing", freed_s, phrase("plan.binding.nothing"))


def _limited_s(outputs: FloatArray, gear: int) -> float:
    return float(np.mean(np.nan_to_num(figure(outputs, f"gear{gear}_traction_limited_s"))))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sweep:
    """One gear's cap over its range: how far the guards are exceeded (below 0: kept), by which, and the share spun."""

    caps_kpa: FloatArray
    over: FloatArray
    worst_by: tuple[BindingCause, ...]
    spun: FloatArray


def _sweep(scenarios: Scenarios, trust: Trust, setup: Setup, adjuster: Adjuster, bounds: Bounds) -> dict[int, _Sweep]:
    levels = np.linspace(adjuster.minimum, max(bounds.ceiling_kpa, adjuster.minimum + adjuster.step), SWEPT)
    harsh = [with_cap(setup, gear, float(levels[-1])) for gear in bounds.gears]
    panel = panel_of(scenarios, trust, 3, setup, [setup, *harsh])
    setups = [with_cap(setup, gear, float(level)) for gear in bounds.gears for level in levels]
    outputs = panel.scenarios.drive(setups)
    found: dict[int, _Sweep] = {}
    for n, gear in enumerate(bounds.gears):
        part = outputs[:, n * SWEPT : (n + 1) * SWEPT]
        shares = panel.shares(part, setups[n * SWEPT : (n + 1) * SWEPT])
        over = np.stack(list(shares.values())) if shares else np.full((1, SWEPT), -1.0)
        names = list(shares) or [""]
        expected = part[: panel.count]
        seconds = np.maximum(np.nan_to_num(figure(expected, f"gear{gear}_seconds")).mean(axis=0), 1e-9)
        found[gear] = _Sweep(
            caps_kpa=levels,
            over=over.max(axis=0),
            worst_by=tuple(CAUSE_OF_GUARD.get(names[i], "nothing") for i in over.argmax(axis=0)),
            spun=np.nan_to_num(figure(expected, f"gear{gear}_spin_s")).mean(axis=0) / seconds,
        )
    return found


def _guard_rung(
    gear: int, sweep: _Sweep | None, cap_kpa: float, adjuster: Adjuster, bounds: Bounds
) -> tuple[float, BindingCause]:
    top, by = min(bounds.of_gear(gear), (adjuster.maximum, "adjuster range"), key=lambda p: p[0])
    if sweep is not None:
        crossing = _first_above(sweep.caps_kpa, sweep.over, 0.0)
        if crossing < top:
            top, by = crossing, sweep.worst_by[int(np.argmax(sweep.over > 0.0))]
    steps = np.floor((top - adjuster.minimum) / adjuster.step + 1e-9)
    # The plan itself kept the guards over all scenarios; the sweep met few.
    return max(adjuster.minimum + float(max(steps, 0.0)) * adjuster.step, cap_kpa), by


def _tyre_rung(sweep: _Sweep | None) -> float:
    if sweep is None:
        return np.nan
    crossing = _first_above(sweep.caps_kpa, sweep.spun, TRACTION_SHARE)
    return crossing if np.isfinite(crossing) else np.nan


def _first_above(at: FloatArray, values: FloatArray, bound: float) -> float:
    """Where values first rise over a bound, linear in between; the first place if they start above, inf if never."""
    above = np.flatnonzero(values > bound)
    if not len(above):
        return np.inf
    i = int(above[0])
    if i == 0:
        return float(at[0])
    share = (bound - values[i - 1]) / (values[i] - values[i - 1])
    return float(at[i - 1] + share * (at[i] - at[i - 1]))
