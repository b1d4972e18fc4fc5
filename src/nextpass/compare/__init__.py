"""Did it help, or was it the air, the track, chance: passes against passes with the day taken out."""

from nextpass.compare.compare import basis_of, compare_groups, in_order
from nextpass.compare.comparison import ComparedPass, Comparison, Gain, Group, Stretch
from nextpass.compare.effect import SURE, Effect, Usual, Verdict, effect_of, more_passes, verdict_of
from nextpass.compare.groups import changed_adjusters, groups_by
from nextpass.compare.usual import USUAL, usual_of

__all__ = [
    "SURE",
    "USUAL",
    "ComparedPass",
    "Comparison",
    "Effect",
    "Gain",
    "Group",
    "Stretch",
    "Usual",
    "Verdict",
    "basis_of",
    "changed_adjusters",
    "compare_groups",
    "effect_of",
    "groups_by",
    "in_order",
    "more_passes",
    "usual_of",
    "verdict_of",
]
