"""What leaves the program as JSON, by the contract: the same answers for the command line and the web."""

from nextpass.answers.book import FindAnswer, FoundFindingAnswer, FoundPassAnswer, ImportAnswer, RecheckAnswer
from nextpass.answers.car import CarAnswer, car_answer
from nextpass.answers.codes import CodesAnswer, GuidedAnswer, codes_answer, guided_answer
from nextpass.answers.compare import CompareAnswer, compare_answer
from nextpass.answers.figures import PassFiguresAnswer, figures_answer, figures_of_answer
from nextpass.answers.health import LedgerAnswer, ledger_answer
from nextpass.answers.log import LogAnswer, log_answer
from nextpass.answers.plan import ForecastAnswer, PlanAnswer, WhatIfAnswer, forecast_answer, plan_answer, what_if_answer
from nextpass.answers.review import ReviewAnswer, TimeslipAnswer, review_answer, timeslip_answer, timeslip_of_answer
from nextpass.answers.schema import (
    Answer,
    ConditionsAnswer,
    EstimateAnswer,
    SetupAnswer,
    conditions_answer,
    estimate_answer,
    setup_answer,
)
from nextpass.answers.workbench import RoadLoadAnswer, SumAnswer, road_load_answer, sum_answer

__all__ = [
    "Answer",
    "CarAnswer",
    "CodesAnswer",
    "CompareAnswer",
    "ConditionsAnswer",
    "EstimateAnswer",
    "FindAnswer",
    "ForecastAnswer",
    "FoundFindingAnswer",
    "FoundPassAnswer",
    "GuidedAnswer",
    "ImportAnswer",
    "LedgerAnswer",
    "LogAnswer",
    "PassFiguresAnswer",
    "PlanAnswer",
    "RecheckAnswer",
    "ReviewAnswer",
    "RoadLoadAnswer",
    "SetupAnswer",
    "SumAnswer",
    "TimeslipAnswer",
    "WhatIfAnswer",
    "car_answer",
    "codes_answer",
    "compare_answer",
    "conditions_answer",
    "estimate_answer",
    "figures_answer",
    "figures_of_answer",
    "forecast_answer",
    "guided_answer",
    "ledger_answer",
    "log_answer",
    "plan_answer",
    "review_answer",
    "road_load_answer",
    "setup_answer",
    "sum_answer",
    "timeslip_answer",
    "timeslip_of_answer",
    "what_if_answer",
]
