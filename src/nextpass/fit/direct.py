"""What a log tells without any model: read straight off, before the fit begins."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from nextpass.car import Car
from nextpass.log import Log
from nextpass.review import Phase, ReviewedPass
from nextpass.sim import Parameters, default_parameters

# A pressure or mixture is settled this long after a shift [s].
_SETTLED_S = 0.5


def direct_centre(car: Car, passes: Sequence[ReviewedPass]) -> Parameters:
    """The car file's parameters with what the logs say outright.

    Parameters
    ----------
    car : Car
    passes : sequence of ReviewedPass

    Returns
    -------
    parameters : Parameters
        Mixture at full load, charge temperature and gearbox oil at the launch are those of the logs where they have
        the channels.
    """
    found = default_parameters(car)
    lambdas, soaks, oils = [], [], []
    for one in passes:
        full = [phase for phase in one.review.phases if phase.kind == "gear"]
        lambdas.extend(_full_load(one.log, "lambda_bank1", full))
        staged_s = next((phase.end_s for phase in one.review.phases if phase.kind == "staged"), None)
        if staged_s is not None:
            at_launch = np.array([staged_s])
            charge = one.log.get("charge_temperature_c")
            if charge is not None:
                soaks.append(float(charge.at(at_launch)[0]) - one.record.conditions.air_temperature_c)
            oil = one.log.get("gearbox_oil_temperature_c")
            if oil is not None:
                oils.append(float(oil.at(at_launch)[0]))
    return replace(
        found,
        wot_lambda=_median(lambdas, found.wot_lambda, 0.6, 1.1),
        charge_soak_c=_median(soaks, found.charge_soak_c, -10.0, 60.0),
        gearbox_oil_c=_median(oils[-1:], found.gearbox_oil_c, 0.0, 160.0),
    )


def _full_load(log: Log, name: str, phases: Sequence[Phase]) -> list[float]:
    channel = log.get(name)
    if channel is None:
        return []
    values: list[float] = []
    for phase in phases:
        inside = (channel.time_s > phase.start_s + _SETTLED_S) & (channel.time_s < phase.end_s)
        values.extend(channel.values[inside].tolist())
    return values


def _median(values: Sequence[float], otherwise: float, low: float, high: float) -> float:
    finite = np.asarray([value for value in values if np.isfinite(value)])
    if finite.size == 0:
        return otherwise
    return float(np.clip(np.median(finite), low, high))
