"""The car as its passes show it, with what is not known."""

from nextpass.fit.direct import KNOCKS_DEG
from nextpass.fit.evidence import PassEvidence
from nextpass.fit.fit import fit_car
from nextpass.fit.fitted_car import FittedCar
from nextpass.fit.peaks import SHOWN_S, duty_by_gear, guard_peaks, peaks_to_finish, run_end_s

__all__ = [
    "KNOCKS_DEG",
    "SHOWN_S",
    "FittedCar",
    "PassEvidence",
    "duty_by_gear",
    "fit_car",
    "guard_peaks",
    "peaks_to_finish",
    "run_end_s",
]
