"""A season of the proving ground with wear put in, from its logs to the ledger."""

import pytest

from nextpass.health import Drift, figures_of, ledger_of
from nextpass.measure import Estimate
from nextpass.proving import Drift as Wear
from nextpass.proving import season

PASSES = 10


@pytest.fixture(scope="module")
def worn(entry, review_outcome):
    """Figures and truth of each pass; wear as a hard season would bring it."""
    wear = Wear(clutch_capacity=0.15, pumps=0.2, bank_2_flow=0.06, gearbox_oil_k=12.0, idle_roughness_rpm=20.0)
    car = entry.car.believed
    return [
        (figures_of(car, review_outcome(car, one.outcome)), one.truth) for one in season(entry, PASSES, wear, seed=3)
    ]


@pytest.fixture(scope="module")
def trends(entry, worn):
    ledger = ledger_of(entry.car.believed, [figures for figures, _ in worn])
    return {trend.name: trend for trend in ledger.trends}


@pytest.mark.parametrize(
    ("figure", "truth", "sign"),
    [
        ("clutch_a_held_kpa", "clutch_capacity_nm", -1),
        ("pump_strength", "pumps_l_h", -1),
        ("trim_bank2", "long_trim_bank2", 1),
        ("trims_apart", "long_trim_bank2", 1),
        ("launch_gearbox_oil_temperature_c", "gearbox_oil_c", 1),
    ],
)
def test_wear_is_found_with_its_sign(trends, worn, figure, truth, sign):
    change = worn[-1][1][truth] - worn[0][1][truth]
    assert change * sign > 0.0
    trend = trends[figure]
    assert trend.drift is Drift.DRIFTS
    assert isinstance(trend.over_season, Estimate)
    assert trend.over_season.value * sign > 0.0


@pytest.mark.parametrize(
    ("figure", "truth"),
    [("trim_bank2", "long_trim_bank2"), ("launch_gearbox_oil_temperature_c", "gearbox_oil_c")],
)
def test_what_is_logged_as_it_is_drifts_by_what_it_truly_did(trends, worn, figure, truth):
    change = worn[-1][1][truth] - worn[0][1][truth]
    over = trends[figure].over_season
    assert over.low - 1e-3 <= change <= over.high + 1e-3


def test_the_pump_has_lost_what_it_truly_lost(trends, worn):
    lost = worn[-1][1]["pumps_l_h"] / worn[0][1]["pumps_l_h"] - 1.0
    trend = trends["pump_strength"]
    found = trend.over_season
    # As a share of the first pass, the estimate's own ± and 2 % for days of other voltage and back pressure.
    assert found.value / trend.values[0] == pytest.approx(lost, abs=found.plus_minus + 0.02)


def test_what_did_not_wear_is_steady(trends):
    for figure in ("trim_bank1", "cooler_effectiveness", "injector_duty_per_air"):
        assert trends[figure].drift is Drift.STEADY


def test_the_ledger_sums_what_the_launches_took(entry, worn):
    ledger = ledger_of(entry.car.believed, [figures for figures, _ in worn])
    assert ledger.consumption.launches == PASSES
    shares = [one.launch.life_share.value for one in ledger.passes]
    assert ledger.consumption.life_share.value == pytest.approx(sum(shares))
    assert ledger.consumption.hardest_share.value == max(shares)
