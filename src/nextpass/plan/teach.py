"""Whether passes can tell the plan from the last setup, and what the next pass is meant to teach."""

from math import sqrt

from nextpass.car import Setup
from nextpass.plan.changes import UNTOLD_S
from nextpass.plan.evidence import Evidence, launch_pressure_kpa
from nextpass.plan.lookahead import Teaching
from nextpass.words import phrase

# Difference that one pass with each setup shows with 80 % power at 5 %, in standard deviations of a pass: the sum of
# the normal quantiles 1.960 and 0.842, times the root of two (textbook power of a two-sample z test).
LEAST_SHOWN_SD = 2.802 * sqrt(2.0)


def told_apart(gain_s: float, pass_sd_s: float, is_same: bool, crosses: bool) -> str:
    """Whether one pass each can tell the plan from the last setup, in words; empty where it clearly can.

    Parameters
    ----------
    gain_s : float
        Expected gain of the plan [s].
    pass_sd_s : float
        Standard deviation of a single pass at a setup [s].
    is_same : bool
        The plan is the last setup.
    crosses : bool
        The last setup again would cross a guard on a bad pass.
    """
    least_s = LEAST_SHOWN_SD * pass_sd_s
    if is_same:
        return phrase("plan.tell.same")
    if gain_s < 0.0 and crosses:
        return phrase("plan.tell.guarded", loss=f"{-gain_s:.2f}")
    if gain_s < least_s:
        # A launch that is meant to teach may gain nothing on its own pass; what it costs is said with what it teaches.
        return phrase("plan.tell.cannot", gain=f"{max(gain_s, 0.0):.2f}", least=f"{least_s:.2f}")
    return ""


def taught_by(setup: Setup, evidence: Evidence, teaching: Teaching | None = None) -> str:
    """What the pass is meant to teach; empty where it is only meant to be quick."""
    if teaching is not None and teaching.worth_s >= UNTOLD_S:
        worth = f"{teaching.worth_s:.2f}"
        if teaching.cost_s < UNTOLD_S:
            return phrase("plan.teach.launch_free", worth=worth)
        return phrase("plan.teach.launch", worth=worth, cost=f"{teaching.cost_s:.2f}")
    highest_kpa = max(*setup.gear_pressure_cap_kpa[: len(evidence.gears)], launch_pressure_kpa(setup))
    if evidence.clean_kpa is not None and highest_kpa > evidence.clean_kpa + 1.0:
        return phrase("plan.teach.pressure")
    return ""
