"""Where did the wheels turn faster than the car, in which gear and on which axle?"""

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


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Wheel slip of each axle in each gear.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    found = []
    for axle in AXLES:
        slip = axle_slip(evidence, axle)
        if slip is not None:
            found.extend(_of_axle(evidence, axle, slip))
    return tuple(found)


def axle_slip(evidence: Evidence, axle: str) -> FloatArray | None:
    """Slip ratio (SAE J670) of an axle on the shared clock, nan below a crawl; None without its wheel speeds."""
    wheels = [series for name in AXLES[axle] if (series := evidence.series(name)) is not None]
    if not wheels:
        return None
    motion = evidence.motion
    ground = np.interp(evidence.time_s, motion.time_s, motion.speed_mps)
    indicated = np.mean(wheels, axis=0) / motion.wheel_scale.get(axle, 1.0)
    return np.where(ground > LEAST_MPS, indicated / np.maximum(ground, LEAST_MPS) - 1.0, np.nan)


def _of_axle(evidence: Evidence, axle: str, slip: FloatArray) -> list[Finding]:
    limits, motion = evidence.limits, evidence.motion
    ground = np.maximum(np.interp(evidence.time_s, motion.time_s, motion.speed_mps), LEAST_MPS)
    doubt = CLEAR_SD * np.interp(evidence.time_s, motion.time_s, motion.speed_sd_mps) / ground
    with np.errstate(invalid="ignore"):
        spinning = (slip - doubt > limits["slip_ratio"]) & evidence.between(motion.moved_s, evidence.lift_s)
    found = []
    for gear in np.unique(evidence.gear[spinning]):
        in_gear = spinning & (evidence.gear == gear)
        seconds = evidence.seconds(in_gear)
        if seconds < limits["slip_watch_s"]:
            continue
        times = evidence.time_s[in_gear]
        found.append(
            worded(
                "wheel-slip",
                Severity.ACT if seconds >= limits["slip_act_s"] else Severity.WATCH,
                float(times[0]),
                float(times[-1]),
                AXLES[axle],
                {
                    "slip_ratio_p90": float(np.percentile(slip[in_gear], 90)),
                    "slip_s": seconds,
                    "speed_kmh": 3.6 * float(np.median(ground[in_gear])),
                },
                gear=int(gear) if gear > 0 else None,
                axle=phrase(f"axle.{axle}"),
            )
        )
    return found
