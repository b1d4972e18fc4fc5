"""Air on the crests of a pressure that swings: by the compressor's own law, and only where crests are."""

from types import SimpleNamespace

import numpy as np
import pytest

from nextpass.physics.charge import compressor_outlet_c
from nextpass.plan.swing import RATE_HZ, SAMPLES, crests_k, hotter_by_pressure_k
from nextpass.sim import OUTPUTS, TRACES, default_parameters, pack, sample_many


def test_the_rise_goes_with_the_compressors():
    """A cooler that lets pass a fixed share scales the compressor's own rise (`physics.charge`, isentropic)."""
    low, high, share = 2.4, 2.6, 0.28
    rises = [share * (float(compressor_outlet_c(20.0, ratio, 0.7)) - 20.0) for ratio in (low, high)]
    hotter_k = hotter_by_pressure_k(np.array([rises[0]]), np.array([low]), np.array([high]))
    assert hotter_k[0] == pytest.approx(rises[1] - rises[0], rel=0.01)
    assert hotter_by_pressure_k(np.array([30.0]), np.array([high]), np.array([low]))[0] == 0.0


@pytest.fixture(scope="module")
def simulated(car, newest, cool_evening):
    """A simulated pass: outputs and traces, and of those time from the rollout, pressure and air."""
    row = pack(car, default_parameters(car), newest, cool_evening)
    outputs, traces = sample_many(row[np.newaxis], SAMPLES, RATE_HZ)
    time_s = np.arange(traces.shape[1]) / RATE_HZ - outputs[0, OUTPUTS.index("rollout_s")]
    return (
        (outputs[0], traces[0]),
        time_s,
        *(traces[0, :, TRACES.index(name)] for name in ("manifold_pressure_kpa", "charge_air_c")),
    )


def logged(conditions, time_s, pressure_kpa):
    """As much of a reviewed pass as crests are read from; the log's clock starts 5 s before the rollout."""
    distance_m = np.interp(np.arange(30.0), [0.0, 5.0, 17.0], [0.0, 0.3048, 402.4])
    motion = SimpleNamespace(rollout_m=0.3048, time_s=np.arange(30.0), distance_m=distance_m)

    def at(times_s):
        return np.interp(times_s - 5.0, time_s, pressure_kpa)

    channels = {} if pressure_kpa is None else {"manifold_pressure_kpa": SimpleNamespace(at=at)}
    return SimpleNamespace(
        log=channels,
        review=SimpleNamespace(ground_speed=motion, phases=()),
        record=SimpleNamespace(conditions=conditions),
    )


def test_a_pressure_as_simulated_has_no_crests(simulated, cool_evening):
    run, time_s, pressure_kpa, _ = simulated
    assert crests_k(logged(cool_evening, time_s, pressure_kpa), *run) == pytest.approx(0.0, abs=0.05)
    assert crests_k(logged(cool_evening, time_s, None), *run) == 0.0


def test_crests_where_the_air_is_hottest_count_and_early_ones_do_not(simulated, cool_evening):
    run, time_s, pressure_kpa, air_c = simulated
    hottest_s = time_s[int(np.nanargmax(air_c))]
    late_kpa = pressure_kpa + np.where(np.abs(time_s - hottest_s) < 0.5, 10.0, 0.0)
    found_k = crests_k(logged(cool_evening, time_s, late_kpa), *run)
    # Some 0.2 K for each kilopascal at these pressures: the derivative of the law, for the rise at hand.
    ratio = np.nanmax(pressure_kpa) / cool_evening.pressure_kpa
    rise_k = float(np.nanmax(air_c)) - cool_evening.air_temperature_c
    slope = 0.2857 * ratio**0.2857 / (ratio**0.2857 - 1.0) / np.nanmax(pressure_kpa)
    assert found_k == pytest.approx(10.0 * slope * rise_k, rel=0.15)
    early_kpa = pressure_kpa + np.where(time_s < 1.0, 10.0, 0.0)
    assert crests_k(logged(cool_evening, time_s, early_kpa), *run) < 0.05


def test_the_air_of_a_trace_is_that_of_the_guards(simulated):
    (outputs, _), _, _, air_c = simulated
    most_c = outputs[OUTPUTS.index("charge_air_c")]
    assert np.nanmax(air_c) == pytest.approx(most_c, abs=0.3)
