"""Is the mixture what it should be, are the trims near zero, do the banks agree?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.review.findings.evidence import Evidence, Stretch
from nextpass.review.findings.finding import Finding, Severity, worded

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

BANKS = ("lambda_bank1", "lambda_bank2")
TRIMS = (("short_trim_bank1", "long_trim_bank1"), ("short_trim_bank2", "long_trim_bank2"))
# After a torque cut, unburnt air passes the sensor for this long.
CUT_PASSES_S = 0.35
# Manifold pressure from which a lean mixture can melt something [kPa absolute].
UNDER_BOOST_KPA = 130.0


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Lean, rich, trims away from zero, banks apart.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    pulling = _mixture_settled(evidence)
    found: list[Finding] = []
    for bank in BANKS:
        lambda_ = evidence.series(bank)
        if lambda_ is not None:
            found.extend(_lean(evidence, bank, lambda_, pulling))
            found.extend(_rich(evidence, bank, lambda_, pulling))
    return (*found, *_banks_apart(evidence, pulling), *_trims(evidence, pulling))


def wanted_lambda(evidence: Evidence) -> FloatArray:
    """Lambda to compare with: the log's target, else the guard for full load."""
    target = evidence.series("lambda_target")
    guard = np.full(evidence.time_s.size, evidence.car.guards.wot_lambda_max)
    return guard if target is None else np.where(np.isfinite(target), target, guard)


def _mixture_settled(evidence: Evidence) -> BoolArray:
    """Pulling, and long enough after each torque cut for the sensor to see burnt mixture again."""
    settled = evidence.is_pulling.copy()
    for phase in evidence.phases:
        if phase.kind == "shift":
            settled &= ~evidence.between(phase.start_s, phase.end_s + CUT_PASSES_S)
    return settled


def _lean(evidence: Evidence, bank: str, lambda_: FloatArray, pulling: BoolArray) -> list[Finding]:
    limits = evidence.limits
    wanted = wanted_lambda(evidence)
    has_target = evidence.series("lambda_target") is not None
    # The guard is a limit itself, a target is not: only the latter is given room.
    room = limits["lean"] if has_target else 0.0
    with np.errstate(invalid="ignore"):
        lean = pulling & (lambda_ > wanted + room)
        # Under a target that is lean in itself, the guard still holds.
        lean |= pulling & (lambda_ > evidence.car.guards.wot_lambda_max + 0.5 * limits["lean"])
    stretches = evidence.stretches(lean, limits["lean_s"])
    if not stretches:
        return []
    worst = max(stretches, key=lambda stretch: float(np.nanmedian((lambda_ - wanted)[stretch.samples])))
    excess = float(np.nanmedian((lambda_ - wanted)[worst.samples]))
    severity = Severity.STOP if _can_melt(evidence, worst, excess) else Severity.ACT
    figures = {
        "lambda_max": float(np.nanmax(lambda_[worst.samples])),
        "lambda_over_target": excess,
        "lean_s": sum(stretch.end_s - stretch.start_s for stretch in stretches),
    }
    gear = evidence.gear_of(worst)
    return [worded("lean", severity, worst.start_s, worst.end_s, (bank, "lambda_target"), figures, gear=gear)]


def _can_melt(evidence: Evidence, stretch: Stretch, excess: float) -> bool:
    pressure = evidence.series("manifold_pressure_kpa")
    boosted = pressure is None or float(np.nanmedian(pressure[stretch.samples])) > UNDER_BOOST_KPA
    return boosted and excess > evidence.limits["lean_stop"]


def _rich(evidence: Evidence, bank: str, lambda_: FloatArray, pulling: BoolArray) -> list[Finding]:
    target = evidence.series("lambda_target")
    if target is None:
        target = np.full(lambda_.size, evidence.limits["rich_lambda"] + evidence.limits["rich"])
    with np.errstate(invalid="ignore"):
        rich = pulling & (target - lambda_ > evidence.limits["rich"])
    stretches = evidence.stretches(rich, evidence.limits["rich_s"])
    if not stretches:
        return []
    longest = max(stretches, key=lambda stretch: stretch.end_s - stretch.start_s)
    figures = {
        "lambda_min": float(np.nanmin(lambda_[longest.samples])),
        "lambda_under_target": float(np.nanmedian((target - lambda_)[longest.samples])),
        "rich_s": longest.end_s - longest.start_s,
    }
    gear = evidence.gear_of(longest)
    span = (longest.start_s, longest.end_s)
    return [worded("rich", Severity.WATCH, *span, (bank, "lambda_target"), figures, gear=gear)]


def _banks_apart(evidence: Evidence, pulling: BoolArray) -> list[Finding]:
    first, second = (evidence.series(bank) for bank in BANKS)
    if first is None or second is None:
        return []
    use = pulling & np.isfinite(first) & np.isfinite(second)
    if evidence.seconds(use) < 1.0:
        return []
    apart = float(np.median((first - second)[use]))
    if abs(apart) < evidence.limits["banks_lambda_apart"]:
        return []
    times = evidence.time_s[use]
    figures = {"lambda_bank1_less_bank2": apart}
    return [worded("banks-apart", Severity.ACT, float(times[0]), float(times[-1]), BANKS, figures)]


def _trims(evidence: Evidence, pulling: BoolArray) -> list[Finding]:
    """Short and long trim together, each bank; the whole try counts where full load shows no trim."""
    totals = [_total_trim(evidence, names) for names in TRIMS]
    means = [None if total is None else _typical(total, pulling) for total in totals]
    known = [mean for mean in means if mean is not None]
    if not known:
        return []
    span = (float(evidence.time_s[0]), evidence.lift_s)
    channels = tuple(name for names in TRIMS for name in names if name in evidence.log)
    figures = {f"trim_bank{bank}": mean for bank, mean in enumerate(means, start=1) if mean is not None}
    found = []
    if max(abs(mean) for mean in known) > evidence.limits["trim"]:
        found.append(worded("trims-high", Severity.ACT, *span, channels, figures))
    if len(known) == 2 and abs(known[0] - known[1]) > evidence.limits["banks_trim_apart"]:
        found.append(worded("trims-apart", Severity.ACT, *span, channels, figures))
    return found


def _total_trim(evidence: Evidence, names: tuple[str, str]) -> FloatArray | None:
    parts = [series for name in names if (series := evidence.series(name)) is not None]
    return np.asarray(np.nansum(parts, axis=0)) if parts else None


def _typical(trim: FloatArray, pulling: BoolArray) -> float:
    under_load = trim[pulling]
    moves = under_load.size > 10 and float(np.std(under_load)) > 0.0
    return float(np.median(under_load if moves else trim))
