"""Many afternoons on which nothing was changed, by the strip's clocks alone: how often is a change said to have helped?

A whole chain of logs takes too long for hundreds of them. Here the car is not fitted: its file takes the day out.
"""

from datetime import timedelta
from pathlib import Path

import numpy as np

from benchmarks.judged_compare.chain import NOON, PASSES_A_SIDE, cooled, day_of
from nextpass.car import PassRecord, StripClocks
from nextpass.compare import Effect, effect_of, usual_of
from nextpass.compare.clocks import STRIP_SD_S
from nextpass.compare.day import day_effect, one_clock
from nextpass.fit import fit_car
from nextpass.measure import Absent
from nextpass.proving import drive_pass, fleet

CARS = 12
# Far from the numbers of the whole chains.
FIRST_NUMBER = 5000


def unchanged_afternoons(afternoons: int) -> list[Effect]:
    """The effect on ET that is found on each afternoon of each car, every other pass against those between.

    Parameters
    ----------
    afternoons : int
        Of each car.
    """
    weights, turns = one_clock("et_s"), np.arange(2 * PASSES_A_SIDE)
    order = np.concatenate([turns[::2], turns[1::2]])
    found = []
    for place, entry in enumerate(fleet(CARS, 1)):
        fitted = fit_car(entry.car.believed, ())
        for afternoon in range(afternoons):
            number = FIRST_NUMBER + CARS * afternoon + place
            day = day_of(entry.conditions, np.random.default_rng([number, 77]))
            records = [
                PassRecord(
                    folder=Path(f"pass{turn + 1}"),
                    number=turn + 1,
                    started=NOON + timedelta(minutes=20 * turn),
                    logs=(),
                    notes="",
                    conditions=cooled(day, turn),
                    setup=entry.baseline,
                    clocks=StripClocks(),
                )
                for turn in turns.tolist()
            ]
            driven = [
                drive_pass(entry.car, entry.strip, one.conditions, entry.baseline, 1000 * number + turn)
                for turn, one in enumerate(records)
            ]
            et_s = np.array([one.clocks.et_s for one in driven], dtype=np.float64)
            if not np.isfinite(et_s).all():
                continue
            effect = day_effect(fitted, records, ())
            brought = (et_s - effect.taken_out(weights))[order]
            shared = effect.of(order.tolist()).covariance(weights) + STRIP_SD_S**2 * np.eye(order.size)
            one = effect_of(
                brought[:PASSES_A_SIDE].tolist(), brought[PASSES_A_SIDE:].tolist(), shared, usual_of("et_s")
            )
            assert not isinstance(one, Absent)
            found.append(one)
    return found
