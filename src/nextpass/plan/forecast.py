"""What one pass at a setup should show: bands that hold a single pass, and the guards at their pessimistic end."""

from collections.abc import Mapping

import numpy as np
from scipy.stats import norm

from nextpass.car import Guards, Setup
from nextpass.plan.expected import FloatArray, figure
from nextpass.plan.guards import margins
from nextpass.plan.plan import Band, Forecast
from nextpass.plan.trust import Trust

# Ends of a band that holds nine passes of ten.
BAND = (0.05, 0.50, 0.95)
# Points at which the scatter of a pass about its scenario is laid over the scenarios: even shares of a normal.
_EVEN = norm.ppf((np.arange(15) + 0.5) / 15.0)


def forecast_of(
    outputs: FloatArray, setup: Setup, trust: Trust, scatter_sd: Mapping[str, float], guards: Guards
) -> Forecast:
    """Forecast of one setup.

    Parameters
    ----------
    outputs : ndarray, shape (scenarios, len(OUTPUTS))
        Of that setup.
    setup : Setup
    trust : Trust
        How far the fitted car may be believed there.
    scatter_sd : Mapping[str, float]
        What one pass scatters about its scenario, by clock [s], and for the trap speed [m/s].
    guards : Guards

    Returns
    -------
    Forecast
        A band is nan where most scenarios do not get that far.
    """

    def band(name: str) -> Band:
        error, doubt = trust.error([setup], name)
        return _band(figure(outputs, name) + error[0], float(np.hypot(doubt[0], scatter_sd.get(name, 0.0))))

    return Forecast(
        t60ft_s=band("t60ft_s"),
        t330ft_s=band("t330ft_s"),
        t660ft_s=band("t660ft_s"),
        t1000ft_s=band("t1000ft_s"),
        et_s=band("et_s"),
        trap_mps=band("trap_mps"),
        guards=margins(outputs, setup, trust, guards),
    )


def _band(values: FloatArray, sd: float) -> Band:
    reached = values[np.isfinite(values)]
    if len(reached) < 0.5 * len(values):
        return Band(low=np.nan, median=np.nan, high=np.nan)
    spread = (reached[:, np.newaxis] + sd * _EVEN).ravel()
    low, median, high = np.quantile(spread, BAND)
    return Band(low=float(low), median=float(median), high=float(high))
