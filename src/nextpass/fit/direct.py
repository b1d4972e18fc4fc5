"""What a log tells without any model: read straight off, before the fit begins."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from nextpass.car import Car
from nextpass.log import Log
from nextpass.review import Phase, ReviewedPass
from nextpass.sim import REFERENCE_CHARGE_C, Parameters, default_parameters

# A pressure or mixture is settled this long after a shift [s].
_SETTLED_S = 0.5
# Less retard than this is no knock: logs show it in steps of a quarter of a degree (common practice).
KNOCKS_DEG = 0.5


def direct_centre(car: Car, passes: Sequence[ReviewedPass]) -> Parameters:
    """The car file's parameters with what the logs say outright.

    Parameters
    ----------
    car : Car
    passes : sequence of ReviewedPass

    Returns
    -------
    parameters : Parameters
        Mixture at full load, charge temperature and gearbox oil at the launch, and the onset of knock where an engine
        knocked, are those of the logs where they have the channels. Under its onset a simulated engine is silent
        however far away it lies: nothing would draw an onset down to where the logs show knock.
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
        knock_onset_kpa=tuple(
            min(onset_kpa, _shown_onset_kpa(found, [one for one in passes if one.record.setup.fuel == fuel]))
            for fuel, onset_kpa in zip(car.fuels, found.knock_onset_kpa, strict=True)
        ),
    )


def _shown_onset_kpa(usual: Parameters, passes: Sequence[ReviewedPass]) -> float:
    """Pressure, at the charge temperature of reference, at which the engine began to knock; inf where it did not."""
    onsets: list[float] = []
    for one in passes:
        log = one.log
        retard, pressure = log.get("knock_retard_deg"), log.get("manifold_pressure_kpa")
        charge = log.get("charge_temperature_c")
        if retard is None or pressure is None:
            continue
        for phase in one.review.phases:
            if phase.kind == "gear":
                inside = (retard.time_s > phase.start_s + _SETTLED_S) & (retard.time_s < phase.end_s)
                inside &= np.nan_to_num(retard.values) >= KNOCKS_DEG
                at_s = retard.time_s[inside]
                warmer_k = 0.0 if charge is None else charge.at(at_s) - REFERENCE_CHARGE_C
                over_kpa = retard.values[inside] / usual.knock_slope_degpkpa - usual.knock_per_kelvin_kpa * warmer_k
                onsets.extend((pressure.at(at_s) - over_kpa).tolist())
    return _median(onsets, np.inf, 0.0, np.inf)


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
