"""The forecast of any setup, well within the time of a hand on a slider."""

from nextpass.car import Car, Conditions, Setup
from nextpass.fit import FittedCar
from nextpass.plan.expected import scenarios_of
from nextpass.plan.forecast import forecast_of
from nextpass.plan.plan import Forecast
from nextpass.plan.trust import trust_of

# Versions that a forecast stands on: enough for its band, few enough for a slider.
VERSIONS = 48


def what_if(car: Car, fitted: FittedCar, setup: Setup, conditions: Conditions) -> Forecast:
    """What one pass at a setup should show.

    Parameters
    ----------
    car : Car
        Whose guards count.
    fitted : FittedCar
        The car as its passes show it.
    setup : Setup
        Any, on step and in range.
    conditions : Conditions
        Of the pass.

    Returns
    -------
    Forecast
    """
    scenarios = scenarios_of(car, fitted.versions(conditions, count=VERSIONS), conditions)
    return forecast_of(scenarios.drive([setup])[:, 0], setup, trust_of(fitted), fitted.scatter_sd, car.guards)
