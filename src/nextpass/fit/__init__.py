"""The car as its passes show it, with what is not known."""

from nextpass.fit.fit import fit_car
from nextpass.fit.fitted_car import FittedCar
from nextpass.fit.peaks import guard_peaks

__all__ = ["FittedCar", "fit_car", "guard_peaks"]
