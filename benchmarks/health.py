"""Is the first cause of a code the right one, and is wear found where it is and nowhere else?

Writes the tables of `docs/health-table.md` when all cases ran.
"""

from collections import Counter
from pathlib import Path

import numpy as np

from benchmarks.figure import Figure
from benchmarks.judged_health.faults import Named, named_causes
from benchmarks.judged_health.seasons import WornFigure, false_alarms, worn_figures

# Seeds 0 to 5 were looked at while the weights were set.
CODE_SEEDS, FEW_CODE_SEEDS = range(20, 28), range(20, 22)
WEAR_SEEDS, FEW_WEAR_SEEDS = range(6), range(1)
STILL_SEEDS, FEW_STILL_SEEDS = range(10), range(1)
SHUFFLES = 20
TABLE = Path(__file__).parents[1] / "docs" / "health-table.md"
HEAD = """# How right codes and ledger are

Made by `make bench` on faults and seasons of the proving ground, which knows the truth; do not edit.

## The first cause of trouble codes

Each fault that stores codes, on eight cars with loggers of every sort. Which cause is the right one stands in
`benchmarks/right_causes.toml`, written before any weight was set.

"""
MIDDLE = """

## Wear over a season

Sixteen passes on four days; "found" is said to drift, the right way.

"""


def run(quick: bool = False) -> list[Figure]:
    """Figures of codes, wear and false alarms.

    Parameters
    ----------
    quick : bool
        Few cases; no table is written.
    """
    named = named_causes(FEW_CODE_SEEDS if quick else CODE_SEEDS)
    worn = worn_figures(FEW_WEAR_SEEDS if quick else WEAR_SEEDS)
    alarms, seasons = false_alarms(FEW_STILL_SEEDS if quick else STILL_SEEDS, SHUFFLES)
    if not quick:
        TABLE.write_text(HEAD + _codes_table(named) + MIDDLE + _wear_table(worn) + "\n", encoding="utf-8")
    known = [one for one in worn if np.isfinite(one.true_change)]
    settled = [one for one in named if one.is_settled]
    return [
        Figure(
            name=f"first cause is the right one, {len(named)} faults with codes",
            value=float(np.mean([one.by_logs == one.right for one in named])),
            unit="of faults",
            floor=float(np.mean([one.by_order == one.right for one in named])),
            floor_name="the codes alone, without logs",
            target=">= 0.8",
        ),
        Figure(
            name="the same where the logs are said to settle it",
            value=float(np.mean([one.by_logs == one.right for one in settled])),
            unit=f"of {len(settled)}",
        ),
        Figure(
            name="wear found, the right way",
            value=float(np.mean([one.is_found for one in worn])),
            unit="of figures",
        ),
        Figure(
            name="wear said to go the wrong way",
            value=float(np.mean([one.is_wrong for one in worn])),
            unit="of figures",
            target="<= 0.0",
        ),
        Figure(
            name="true change over the season inside the stated 90 % interval",
            value=float(np.mean([one.holds for one in known])),
            unit="of figures",
        ),
        Figure(
            name=f"seasons without wear that show a drift, {seasons} seasons",
            value=alarms / seasons,
            unit="of seasons",
            target="<= 0.05",
        ),
    ]


def _codes_table(named: list[Named]) -> str:
    rows = ["| fault | codes | right cause | codes alone | with logs | named instead |", "|---|---|---|---|---|---|"]
    for kind in dict.fromkeys(one.kind for one in named):
        group = [one for one in named if one.kind == kind]
        wrong = Counter(one.by_logs for one in group if one.by_logs != one.right)
        instead = ", ".join(f"{name} ({count})" for name, count in wrong.most_common())
        right_alone = sum(one.by_order == one.right for one in group)
        right = sum(one.by_logs == one.right for one in group)
        rows.append(
            f"| {kind} | {' '.join(group[0].codes)} | {group[0].right} | {right_alone} of {len(group)} |"
            f" {right} of {len(group)} | {instead} |"
        )
    return "\n".join(rows)


def _wear_table(worn: list[WornFigure]) -> str:
    rows = ["| figure | seasons | found | wrong way | truth inside the interval |", "|---|---|---|---|---|"]
    for name in dict.fromkeys(one.name for one in worn):
        group = [one for one in worn if one.name == name]
        known = [one for one in group if np.isfinite(one.true_change)]
        held = f"{sum(one.holds for one in known)} of {len(known)}" if known else "sign only"
        rows.append(
            f"| {name} | {len(group)} | {sum(one.is_found for one in group)} |"
            f" {sum(one.is_wrong for one in group)} | {held} |"
        )
    return "\n".join(rows)
