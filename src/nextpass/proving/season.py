"""A season of one car: passes over many days, with wear put in or left out, to see whether trends are found.

Drift is given as the change from the first pass to the last; the truth of every pass stands beside it. Days differ in
air and track, setups stay those of a driver who tries a step now and then.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from nextpass.car import Conditions, Setup
from nextpass.proving.drive import drive_pass
from nextpass.proving.fleet import Entry
from nextpass.proving.outcome import Outcome
from nextpass.proving.truth import ProvingCar

FIRST_DAY = date(2026, 4, 18)
PASSES_A_DAY = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """Change over the season, 0 where nothing wears.

    Parameters
    ----------
    clutch_capacity, pumps, bank_2_flow : float
        Share of the first value that is gone at the end [-].
    shift_time : float
        Share by which shifts are longer at the end [-].
    bite_delay_s, idle_roughness_rpm, gearbox_oil_k : float
        Added at the end [s, rpm, K].
    """

    clutch_capacity: float = 0.0
    pumps: float = 0.0
    bank_2_flow: float = 0.0
    shift_time: float = 0.0
    bite_delay_s: float = 0.0
    idle_roughness_rpm: float = 0.0
    gearbox_oil_k: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonPass:
    """One pass of the season: its day, what it was, and the worn figures as they truly were, by name with unit."""

    number: int
    day: date
    outcome: Outcome
    truth: Mapping[str, float]


def worn(car: ProvingCar, drift: Drift, share: float) -> ProvingCar:
    """The car at a share of the season.

    Parameters
    ----------
    car : ProvingCar
        At its beginning.
    drift : Drift
        By its end.
    share : float
        Of the season, 0 to 1.

    Returns
    -------
    ProvingCar
    """
    clutch, fuelling = car.clutch, car.fuelling
    held = 1.0 - drift.clutch_capacity * share
    longer = 1.0 + drift.shift_time * share
    flow = 1.0 - drift.bank_2_flow * share
    return replace(
        car,
        clutch=replace(
            clutch,
            capacity_nm=(clutch.capacity_nm[0] * held, clutch.capacity_nm[1] * held),
            handover_s=clutch.handover_s * longer,
            inertia_s=clutch.inertia_s * longer,
            bite_delay_s=clutch.bite_delay_s + drift.bite_delay_s * share,
        ),
        engine=replace(car.engine, idle_roughness_rpm=car.engine.idle_roughness_rpm + drift.idle_roughness_rpm * share),
        fuelling=replace(
            fuelling,
            pump_1_l_h=fuelling.pump_1_l_h * (1.0 - drift.pumps * share),
            pump_2_l_h=fuelling.pump_2_l_h * (1.0 - drift.pumps * share),
            bank_2_flow=fuelling.bank_2_flow * flow,
            # The control unit has learned the difference by the next pass.
            learned_2=1.0 / flow - 1.0,
        ),
        heat=replace(car.heat, box_oil_c=car.heat.box_oil_c + drift.gearbox_oil_k * share),
    )


def season(entry: Entry, passes: int, drift: Drift, seed: int) -> Iterator[SeasonPass]:
    """Passes of a season, one at a time; traces are large.

    Parameters
    ----------
    entry : Entry
        Car, strip, first day and first setup.
    passes : int
        How many.
    drift : Drift
        What wears.
    seed : int
        Draws days, setups and luck.

    Yields
    ------
    SeasonPass
    """
    rng = np.random.default_rng([seed, 7004])
    conditions = entry.conditions
    for number in range(1, passes + 1):
        if (number - 1) % PASSES_A_DAY == 0:
            conditions = _another_day(entry.conditions, rng)
        car = worn(entry.car, drift, (number - 1) / max(passes - 1, 1))
        outcome = drive_pass(car, entry.strip, conditions, _tried(entry, rng), seed * 10007 + number)
        yield SeasonPass(
            number=number,
            day=FIRST_DAY + timedelta(days=9 * ((number - 1) // PASSES_A_DAY)),
            outcome=outcome,
            truth={
                "clutch_capacity_nm": car.clutch.capacity_nm[0],
                "shift_time_s": car.clutch.handover_s + car.clutch.inertia_s,
                "bite_delay_s": car.clutch.bite_delay_s,
                "pumps_l_h": car.fuelling.pump_1_l_h + car.fuelling.pump_2_l_h,
                "long_trim_bank2": car.fuelling.learned_2,
                "idle_roughness_rpm": car.engine.idle_roughness_rpm,
                "gearbox_oil_c": car.heat.box_oil_c,
            },
        )


def _another_day(first: Conditions, rng: np.random.Generator) -> Conditions:
    air_c = first.air_temperature_c + float(rng.normal(0.0, 5.0))
    return replace(
        first,
        air_temperature_c=round(air_c, 1),
        pressure_kpa=round(first.pressure_kpa + float(rng.normal(0.0, 0.7)), 1),
        humidity=round(float(rng.uniform(0.25, 0.8)), 2),
        track_temperature_c=round(air_c + float(rng.uniform(4.0, 15.0))),
        headwind_mps=round(float(rng.normal(0.0, 1.2)), 1),
    )


def _tried(entry: Entry, rng: np.random.Generator) -> Setup:
    rpm = entry.car.believed.adjusters["launch_rpm"]
    return entry.baseline.with_values(
        launch_rpm=rpm.on_step(entry.baseline.launch_rpm + rpm.step * rng.integers(-1, 2))
    )
