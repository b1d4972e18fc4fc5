"""The car over a season: what its launches cost, what drifts, what is due, what its trouble codes mean."""

from nextpass.health.codes import (
    CodeStates,
    ReadCode,
    WeighedCause,
    WeighedCodes,
    compare_states,
    read_code,
    weigh_codes,
)
from nextpass.health.due import Due
from nextpass.health.figures import LimitPassed, PassFigures, figures_of
from nextpass.health.launches import Launch
from nextpass.health.learned import LearnedChange, Precondition, preconditions_of
from nextpass.health.ledger import Consumption, Ledger, ledger_of
from nextpass.health.residency import BANDS_C, Residency
from nextpass.health.trends import Drift, FigureTrend, Reach, trends_of

__all__ = [
    "BANDS_C",
    "CodeStates",
    "Consumption",
    "Drift",
    "Due",
    "FigureTrend",
    "Launch",
    "LearnedChange",
    "Ledger",
    "LimitPassed",
    "PassFigures",
    "Precondition",
    "Reach",
    "ReadCode",
    "Residency",
    "WeighedCause",
    "WeighedCodes",
    "compare_states",
    "figures_of",
    "ledger_of",
    "preconditions_of",
    "read_code",
    "trends_of",
    "weigh_codes",
]
