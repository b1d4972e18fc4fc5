"""Ground floor: what a measurement can and cannot tell. Statistics have their one home here.

`scipy.stats` takes a second to load, for which every command would wait: it is imported where it is used.
"""

from nextpass.measure.change import (
    Difference,
    known_spread_difference,
    least_permutation_p,
    passes_needed,
    permutation_p,
    smallest_effect,
    smallest_effect_by_t,
    welch_difference,
)
from nextpass.measure.estimate import HALF_WIDTH_90, Absent, Estimate, Measured
from nextpass.measure.propagation import propagated, root_sum_square
from nextpass.measure.sampling import crossing_sd_s, event_time_sd_s, hold_delay_s, quantisation_sd, span_sd_s
from nextpass.measure.spread import Spread, pooled_spread, robust_sd
from nextpass.measure.step import StepResponse, step_response
from nextpass.measure.trend import (
    OrderTest,
    Trend,
    mann_kendall,
    mann_kendall_normal,
    siegel_slope,
    theil_sen,
)

__all__ = [
    "HALF_WIDTH_90",
    "Absent",
    "Difference",
    "Estimate",
    "Measured",
    "OrderTest",
    "Spread",
    "StepResponse",
    "Trend",
    "crossing_sd_s",
    "event_time_sd_s",
    "hold_delay_s",
    "known_spread_difference",
    "least_permutation_p",
    "mann_kendall",
    "mann_kendall_normal",
    "passes_needed",
    "permutation_p",
    "pooled_spread",
    "propagated",
    "quantisation_sd",
    "robust_sd",
    "root_sum_square",
    "siegel_slope",
    "smallest_effect",
    "smallest_effect_by_t",
    "span_sd_s",
    "step_response",
    "theil_sen",
    "welch_difference",
]
