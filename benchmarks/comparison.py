"""Is "it helped" right as often as it says: on groups of clocks with a known effect, and on whole logs.

Writes the tables of `docs/compare-table.md` when all cases ran.
"""

from pathlib import Path

import numpy as np

from benchmarks.figure import Figure
from benchmarks.judged_compare.afternoons import unchanged_afternoons
from benchmarks.judged_compare.chain import Judged, judged
from benchmarks.judged_compare.trials import (
    EFFECT_S,
    Trial,
    calibration_error,
    coverage,
    reliability,
    trials,
    welch_calibration_error,
)
from nextpass.compare import SURE, Effect, Verdict

TRIALS, FEW_TRIALS = 500, 150
CHAINS, FEW_CHAINS = 12, 1
# Of each of twelve cars.
AFTERNOONS, FEW_AFTERNOONS = 20, 1
TABLE = Path(__file__).parents[1] / "docs" / "compare-table.md"
HEAD = """# How right a comparison is

Made by `make bench`, which knows the truth; do not edit.

## The stated probability

Groups of two to five passes with a true scatter of 0.03 s a pass; true gains scatter by 0.05 s about nought, so that
as many changes hurt as help. Of the trials in a row, the last column truly gained.

"""
MIDDLE = """

## From logs to the verdict

Cars of the proving ground, three passes before and three after, each logged and reviewed; 1.5 % less is lost in the
driveline after the change, or nothing is changed. "Plain" is the difference of the mean times.

"""


def run(quick: bool = False) -> list[Figure]:
    """Figures of calibration, false alarms and whole chains.

    Parameters
    ----------
    quick : bool
        Few cases; no table is written.
    """
    count = FEW_TRIALS if quick else TRIALS
    drawn = trials(np.random.default_rng(5).normal(0.0, EFFECT_S, count), seed=1)
    none = trials(np.zeros(count), seed=2)
    true_gain = trials(np.full(count, EFFECT_S), seed=3)
    chains = FEW_CHAINS if quick else CHAINS
    whole = [
        judged(number, is_one_day, helps) for is_one_day, helps, times in _CASES for number in range(times * chains)
    ]
    if not quick:
        TABLE.write_text(HEAD + _reliability_table(drawn) + MIDDLE + _chain_table(whole) + "\n", encoding="utf-8")
    still = unchanged_afternoons(FEW_AFTERNOONS if quick else AFTERNOONS)
    return [*_trial_figures(drawn, none, true_gain), _still_figure(still), *_chain_figures(whole)]


# Alternating on one day or each group on its own; whether anything was changed; how often each car is run, since what
# is seldom wrong takes more cases to be seen.
_CASES = ((True, True, 1), (True, False, 2), (False, True, 1))


def _trial_figures(drawn: list[Trial], none: list[Trial], true_gain: list[Trial]) -> list[Figure]:
    return [
        Figure(
            name="stated probability off the true share, mean over bins",
            value=calibration_error(drawn),
            unit="",
            floor=welch_calibration_error(drawn),
            floor_name="Welch's test",
            target="<= 0.06",
        ),
        Figure(
            name='false "it helped" where nothing was changed',
            value=_share(none, Verdict.HELPED),
            unit="of trials",
            floor=float(np.mean([trial.welch_probability >= SURE for trial in none])),
            floor_name="Welch's test",
            target="<= 0.05",
        ),
        Figure(
            name="true gain of 0.05 s inside the stated 90 % interval",
            value=coverage(true_gain),
            unit="of trials",
            target=">= 0.87",
        ),
        Figure(
            name='true gain of 0.05 s called "it helped", two to five passes a side',
            value=_share(true_gain, Verdict.HELPED),
            unit="of trials",
            floor=float(np.mean([trial.welch_probability >= SURE for trial in true_gain])),
            floor_name="Welch's test",
        ),
        Figure(
            name='true gain of 0.05 s called "it hurt"',
            value=_share(true_gain, Verdict.HURT),
            unit="of trials",
            target="<= 0.01",
        ),
    ]


def _still_figure(found: list[Effect]) -> Figure:
    return Figure(
        name='strip clocks of the proving ground: "it helped" where nothing was changed',
        value=float(np.mean([effect.probability_lower >= SURE for effect in found])),
        unit=f"of {len(found)} afternoons",
        target="<= 0.05",
    )


def _share(found: list[Trial], verdict: Verdict) -> float:
    """Share of a verdict, by its threshold on the probability."""
    stated = np.array([trial.effect.probability_lower for trial in found])
    return float(np.mean(stated >= SURE if verdict is Verdict.HELPED else stated <= 1.0 - SURE))


def _chain_figures(whole: list[Judged]) -> list[Figure]:
    one_day = [one for one in whole if one.is_one_day]
    apart = [one for one in whole if not one.is_one_day]
    unchanged = [one for one in whole if one.true_s == 0.0]
    figures = [
        Figure(
            name=f"gain of a whole chain against the truth, {name}",
            value=float(np.mean([abs(one.stated.value - one.true_s) for one in group])),
            unit="s",
            floor=float(np.mean([abs(one.plain_s - one.true_s) for one in group])),
            floor_name="difference of the mean times",
        )
        for name, group in (("alternating on one day", one_day), ("on two days", apart))
    ]
    return [
        *figures,
        Figure(
            name="true gain of a whole chain inside the stated 90 % interval",
            value=float(np.mean([one.stated.low <= one.true_s <= one.stated.high for one in whole])),
            unit="of comparisons",
            target=">= 0.85",
        ),
        Figure(
            name='whole chain: "it helped" where nothing was changed',
            value=float(np.mean([one.verdict is Verdict.HELPED for one in unchanged])),
            unit=f"of {len(unchanged)} comparisons",
            target="<= 0.05",
        ),
    ]


def _reliability_table(found: list[Trial]) -> str:
    rows = ["| stated | trials | mean stated | truly gained |", "|---|---|---|---|"]
    rows += [
        f"| {100 * low:.0f} to {100 * high:.0f} % | {count} | {100 * stated:.1f} % | {100 * truly:.1f} % |"
        for low, high, count, stated, truly in reliability(found)
    ]
    return "\n".join(rows)


def _chain_table(whole: list[Judged]) -> str:
    rows = ["| car | days | true gain s | plain s | stated s | verdict |", "|---|---|---|---|---|---|"]
    rows += [
        f"| {one.car} | {'one' if one.is_one_day else 'two'} | {one.true_s:.3f} | {one.plain_s:.3f} |"
        f" {one.stated.value:.3f} ±{one.stated.plus_minus:.3f} | {one.verdict} |"
        for one in whole
    ]
    return "\n".join(rows)
