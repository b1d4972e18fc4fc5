"""Seasons with and without wear, from their logs to what is said to drift."""

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from nextpass.car import Car
from nextpass.files import read_pass
from nextpass.health import Drift, FigureTrend, PassFigures, figures_of, trends_of
from nextpass.log import hints_for, open_log
from nextpass.measure import Estimate
from nextpass.proving import Drift as Wear
from nextpass.proving import Logger, fleet, season, write_pass_folder
from nextpass.review import ReviewedPass, review_pass

PASSES, PASSES_A_DAY = 16, 4
WEAR = Wear(
    clutch_capacity=0.15, pumps=0.2, bank_2_flow=0.06, shift_time=0.6, idle_roughness_rpm=15.0, gearbox_oil_k=12.0
)
RATES_HZ = (50.0, 40.0, 24.0)
# By figure: the truth that drives it, and what one unit of that truth is worth in the figure. The box's own pressure
# and a pump's strength follow theirs as shares; straight lines between the idle's values keep two thirds of a variance.
TRUTHS = {
    "clutch_a_capacity_nm": ("clutch_capacity_nm", 1.0),
    "clutch_a_held_kpa": ("clutch_capacity_nm", 1.1),
    "pump_strength": ("pumps_l_h", None),
    "trim_bank2": ("long_trim_bank2", 1.0),
    "trims_apart": ("long_trim_bank2", 1.0),
    "launch_gearbox_oil_temperature_c": ("gearbox_oil_c", 1.0),
    "idle_roughness_rpm": ("idle_roughness_rpm", np.sqrt(2.0 / 3.0)),
    "shift_s": ("shift_time_s", None),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WornFigure:
    """One figure of a worn season: the true change in its unit (nan where only its sign is known) and what was said."""

    name: str
    true_change: float
    sign: float
    trend: FigureTrend

    @property
    def is_found(self) -> bool:
        """Whether it is said to drift, the right way."""
        over = self.trend.over_season
        return self.trend.drift is Drift.DRIFTS and isinstance(over, Estimate) and over.value * self.sign > 0.0

    @property
    def is_wrong(self) -> bool:
        """Whether it is said to drift the wrong way."""
        return self.trend.drift is Drift.DRIFTS and not self.is_found

    @property
    def holds(self) -> bool:
        """Whether the stated interval of the change holds the true one."""
        over = self.trend.over_season
        return isinstance(over, Estimate) and over.low - 1e-3 <= self.true_change <= over.high + 1e-3


def figures_of_season(seed: int, wear: Wear) -> tuple[Car, list[PassFigures], list[dict[str, float]]]:
    """Figures and truth of every pass of a season."""
    entry = fleet(12, 1)[seed % 12]
    car = entry.car.believed
    logger = Logger(dialect="bench", rate_hz=RATES_HZ[seed % len(RATES_HZ)])
    figures, truths = [], []
    for one in season(entry, PASSES, wear, 100 + seed):
        with tempfile.TemporaryDirectory(prefix="season-") as place:
            folder = Path(place) / f"pass{one.number}"
            write_pass_folder(one.outcome, logger, folder, number=one.number)
            record = read_pass(folder, car)
            log = open_log(record.logs[0], hints_for(car, record))
            reviewed = ReviewedPass(record=record, log=log, review=review_pass(car, record, log))
            figures.append(figures_of(car, reviewed))
        truths.append(dict(one.truth))
    return car, figures, truths


def worn_figures(seeds: Sequence[int]) -> list[WornFigure]:
    """Every figure that wear touches, over seasons with wear."""
    found = []
    for seed in seeds:
        car, figures, truths = figures_of_season(seed, WEAR)
        trends = {trend.name: trend for trend in trends_of(car, figures)}
        for name, (truth, worth) in TRUTHS.items():
            if name not in trends or trends[name].drift is Drift.CANNOT_TELL:
                continue
            change = truths[-1][truth] - truths[0][truth]
            if name == "pump_strength":
                # As a share of what the line says at the first pass.
                trend, share = trends[name], change / truths[0][truth]
                first = trend.now.value - trend.over_season.value
                true = share * first
            else:
                true = float("nan") if worth is None else change * worth
            found.append(WornFigure(name=name, true_change=true, sign=float(np.sign(change)), trend=trends[name]))
    return found


def false_alarms(seeds: Sequence[int], shuffles: int) -> tuple[int, int]:
    """Seasons without wear that show a drift, and seasons in all; each also with its days in other orders.

    Parameters
    ----------
    seeds : sequence of int
    shuffles : int
        Further orders of the days of each season: days stay whole, as their passes are alike.
    """
    alarms = seasons = 0
    rng = np.random.default_rng(9)
    for seed in seeds:
        car, figures, _ = figures_of_season(seed, Wear())
        days = [figures[i : i + PASSES_A_DAY] for i in range(0, len(figures), PASSES_A_DAY)]
        orders = [np.arange(len(days)), *(rng.permutation(len(days)) for _ in range(shuffles))]
        for order in orders:
            mixed = [days[place][turn] for place in order for turn in rng.permutation(len(days[place]))]
            alarms += any(trend.drift is Drift.DRIFTS for trend in trends_of(car, mixed))
            seasons += 1
    return alarms, seasons
