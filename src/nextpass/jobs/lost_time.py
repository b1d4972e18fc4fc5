"""Where the time of a pass went, against the same car with perfect traction at the same guards."""

from nextpass.car import Car
from nextpass.fit import fit_car
from nextpass.measure import Absent
from nextpass.review import LostTime, ReviewedPass, lost_time


def where_time_went(car: Car, reviewed: ReviewedPass) -> LostTime | Absent:
    """Time lost by cause and gear, from re-running the fitted pass with each cause removed."""
    return lost_time(car, reviewed, fit_car(car, (reviewed,)).parameters)
