"""The car as its passes show it, with what is not known."""

from nextpass.fit.fit import fit_car
from nextpass.fit.fitted_car import FittedCar

__all__ = ["FittedCar", "fit_car"]
