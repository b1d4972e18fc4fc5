"""The time that no setup can beat: the same car with perfect traction at the same guards.

Perfect traction is searched for the middle version of the car and driven by all of them. Since nothing may beat it, the
value is that of the quickest versions that the passes leave possible, not of the middle one.
"""

import numpy as np

from nextpass.measure import Estimate
from nextpass.plan.expected import Scenarios, elapsed_s
from nextpass.sim import Parameters, Versions, drive_many, pack, perfect_traction, without_slip

# Share of the versions that may be quicker than the limit.
QUICKEST = 0.03


def limit_of(scenarios: Scenarios, middle: Parameters) -> Estimate:
    """Limit of a car on a day.

    Parameters
    ----------
    scenarios : Scenarios
        Versions of the car on the day to come.
    middle : Parameters
        The best single version, for which perfect traction is searched.

    Returns
    -------
    Estimate
        ET that no setup beats [s]; its ± is the spread of perfect traction over the versions.
    """
    setup = perfect_traction(scenarios.car, middle, scenarios.conditions).setup
    rows = pack(scenarios.car, Versions.of(scenarios.versions), setup, scenarios.conditions)
    times = elapsed_s(drive_many(without_slip(rows)))
    low, high = np.quantile(times, (0.05, 0.95))
    return Estimate(value=float(np.quantile(times, QUICKEST)), plus_minus=float(0.5 * (high - low)))
