"""Where did the wheels turn faster than the car, in which gear and on which axle?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded
from nextpass.review.gear import AXLES
from nextpass.words import phrase

FloatArray = NDArray[np.float64]

# Below this, a slip ratio divides by next to nothing.
LEAST_MPS = 3.0
# Slip is believed where it stands clear of the ground speed's own standard deviation by this factor.
CLEAR_SD = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spin:
    """One axle spinning in one gear."""

    axle: str
    gear: int
    start_s: float
    end_s: float
    seconds: float
    slip_p90: float
    speed_mps: float


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Wheel slip in each gear, one or both axles.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    spins = [spin for axle in AXLES for spin in _spins(evidence, axle)]
    return tuple(_worded(evidence, [s for s in spins if s.gear == gear]) for gear in sorted({s.gear for s in spins}))


def axle_slip(evidence: Evidence, axle: str) -> FloatArray | None:
    """Slip ratio (SAE J670) of an axle on the shared clock, nan below a crawl; None without its wheel speeds."""
    wheels = [series for name in AXLES[axle] if (series := evidence.series(name)) is not None]
    if not wheels:
        return None
    motion = evidence.motion
    ground = np.interp(evidence.time_s, motion.time_s, motion.speed_mps)
    indicated = np.mean(wheels, axis=0) / motion.wheel_scale.get(axle, 1.0)
    return np.where(ground > LEAST_MPS, indicated / np.maximum(ground, LEAST_MPS) - 1.0, np.nan)


def _spins(evidence: Evidence, axle: str) -> list[_Spin]:
    slip = axle_slip(evidence, axle)
    if slip is None:
        return []
    limits, motion = evidence.limits, evidence.motion
    ground = np.maximum(np.interp(evidence.time_s, motion.time_s, motion.speed_mps), LEAST_MPS)
    doubt = CLEAR_SD * np.interp(evidence.time_s, motion.time_s, motion.speed_sd_mps) / ground
    with np.errstate(invalid="ignore"):
        spinning = (slip - doubt > limits["slip_ratio"]) & evidence.between(motion.moved_s, evidence.lift_s)
    found = []
    for gear in np.unique(evidence.gear[spinning]):
        in_gear = spinning & (evidence.gear == gear)
        seconds = evidence.seconds(in_gear)
        if seconds >= limits["slip_watch_s"]:
            times = evidence.time_s[in_gear]
            found.append(
                _Spin(
                    axle=axle,
                    gear=int(gear),
                    start_s=float(times[0]),
                    end_s=float(times[-1]),
                    seconds=seconds,
                    slip_p90=float(np.percentile(slip[in_gear], 90)),
                    speed_mps=float(np.median(ground[in_gear])),
                )
            )
    return found


def _worded(evidence: Evidence, spins: list[_Spin]) -> Finding:
    """One finding for a gear, whichever axles spin in it; the worse of two gives the figures."""
    worst = max(spins, key=lambda spin: spin.seconds)
    figures = {"slip_ratio_p90": worst.slip_p90, "slip_s": worst.seconds, "speed_kmh": 3.6 * worst.speed_mps}
    axle = worst.axle if len(spins) == 1 else "both"
    return worded(
        "wheel-slip",
        Severity.ACT if worst.seconds >= evidence.limits["slip_act_s"] else Severity.WATCH,
        min(spin.start_s for spin in spins),
        max(spin.end_s for spin in spins),
        tuple(name for spin in spins for name in AXLES[spin.axle]),
        figures,
        gear=worst.gear or None,
        axle=phrase(f"axle.{axle}"),
    )
