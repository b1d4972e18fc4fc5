"""What the values of a log tell about the unit of each column, one module a quantity.

Each judge takes a column, the channel that its name means and what the rest of the log shows, and gives a verdict: how
to convert, how sure, and why; or the question that it cannot answer.
"""

from nextpass.log.evidence.acceleration import judge_acceleration
from nextpass.log.evidence.gear import judge_gear
from nextpass.log.evidence.mixture import judge_mixture
from nextpass.log.evidence.plain import is_plausible, judge_plain
from nextpass.log.evidence.pressure import judge_pressure, pressure_as_told
from nextpass.log.evidence.ratio import judge_ratio
from nextpass.log.evidence.situation import FEWEST_READINGS, Situation, situation_of
from nextpass.log.evidence.speed import judge_speed
from nextpass.log.evidence.temperature import judge_temperature
from nextpass.log.evidence.verdict import DOUBTFUL, Conversion, Verdict

__all__ = [
    "DOUBTFUL",
    "FEWEST_READINGS",
    "Conversion",
    "Situation",
    "Verdict",
    "is_plausible",
    "judge_acceleration",
    "judge_gear",
    "judge_mixture",
    "judge_plain",
    "judge_pressure",
    "judge_ratio",
    "judge_speed",
    "judge_temperature",
    "pressure_as_told",
    "situation_of",
]
