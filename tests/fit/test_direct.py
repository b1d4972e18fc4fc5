"""What logs say outright is where the fit begins."""

from dataclasses import replace

import numpy as np
import pytest
from tests.report.samples import sample_car, sample_log, sample_reviewed

from nextpass.fit.direct import direct_centre
from nextpass.log import Channel
from nextpass.sim import default_parameters

KNOCKED_DEG = 1.5


@pytest.fixture(scope="module")
def car():
    return sample_car()


def with_charge(log, celsius):
    at = log["engine_rpm"].time_s
    air = Channel(name="charge_temperature_c", time_s=at, values=np.full(at.shape, celsius), source="Charge (C)")
    return replace(log, channels={**log.channels, air.name: air})


def onset_kpa(car, log):
    reviewed = sample_reviewed(car, log)
    onsets = dict(zip(car.fuels, direct_centre(car, [reviewed]).knock_onset_kpa, strict=True))
    return onsets[reviewed.record.setup.fuel]


def test_an_engine_that_knocked_did_so_above_its_onset(car):
    """A degree and a half at a tenth of a degree per kPa: the onset lies 15 kPa under the pressure."""
    log = sample_log()
    retard, usual = log["knock_retard_deg"], default_parameters(car)
    # The gear came in at 6.5 s; half a second later its pressure has settled.
    knocking = (retard.values > 0.0) & (retard.time_s > 7.0)
    expected = np.median(log["manifold_pressure_kpa"].values[knocking]) - KNOCKED_DEG / usual.knock_slope_degpkpa
    assert onset_kpa(car, with_charge(log, 45.0)) == pytest.approx(expected)
    # Ten kelvin warmer it knocks at less: at the temperature of reference the onset would lie higher.
    assert onset_kpa(car, with_charge(log, 55.0)) == pytest.approx(expected + 10.0 * usual.knock_per_kelvin_kpa)


def test_an_engine_that_did_not_knock_keeps_the_usual_onset(car):
    log = sample_log()
    silent = replace(log["knock_retard_deg"], values=np.zeros_like(log["knock_retard_deg"].values))
    quiet = replace(log, channels={**log.channels, silent.name: silent})
    assert direct_centre(car, [sample_reviewed(car, quiet)]).knock_onset_kpa == default_parameters(car).knock_onset_kpa
