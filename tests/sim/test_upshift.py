"""An upshift hands the engine's angular momentum to the car: J dw = F r dt / (G eta), mechanics of a rigid body."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.sim import OUTPUTS, TRACES, default_parameters, pack, sample_many

RATE_HZ = 500.0
SHIFT = 2.0
RADPS_PER_RPM = np.pi / 30.0


@pytest.fixture
def shifted(car_with, setup_with, still_air):
    """Traces of a pass on glued tyres whose engine makes nothing during a shift."""
    car = car_with()
    glued = replace(default_parameters(car), grip=4.0, shift_torque_share=0.0)
    setup = setup_with(launch_rpm=3000.0, launch_pressure=110.0, caps=(150.0,) * 6)

    def run(momentum_share):
        row = pack(car, replace(glued, shift_momentum_share=momentum_share), setup, still_air)
        _, traces = sample_many(row[np.newaxis], int(4.0 * RATE_HZ), RATE_HZ)
        return {name: traces[0, :, i] for i, name in enumerate(TRACES)}

    return car, run


def test_the_car_gains_what_the_engine_loses(shifted):
    car, run = shifted
    carried, lost = run(1.0), run(0.0)
    on = np.flatnonzero(carried["phase"] == SHIFT)
    first, last = on[0], on[on < on[0] + 0.2 * RATE_HZ][-1]
    given_up = (carried["engine_rpm"][first] - carried["engine_rpm"][last]) * RADPS_PER_RPM
    line, radius = car.driveline, car.tyres.rolling_radius_m
    ratio = line.gear_ratios[1] * line.final_drive
    impulse = line.efficiency * ratio * line.engine_inertia_kgm2 * given_up / radius
    heavy_kg = car.chassis.mass_kg + 4.0 * line.wheel_inertia_kgm2 / radius**2
    gained = (carried["speed_mps"][last] - carried["speed_mps"][first]) - (
        lost["speed_mps"][last] - lost["speed_mps"][first]
    )
    assert gained == pytest.approx(impulse / heavy_kg, rel=0.03)


def test_an_engine_that_is_still_too_fast_is_taken_down_without_a_jump(car_with, setup_with, still_air):
    """Wheels that spin lose speed in the shift: engine and gearbox meet later, and no sample jumps."""
    car = car_with(front_share=0.0)
    setup = setup_with(launch_rpm=4000.0, launch_pressure=130.0, caps=(170.0,) * 6)
    row = pack(car, default_parameters(car), setup, still_air)
    outputs, traces = sample_many(row[np.newaxis], int(4.0 * RATE_HZ), RATE_HZ)
    assert outputs[0, OUTPUTS.index("gear1_spin_s")] > 0.3
    rpm = traces[0, :, TRACES.index("engine_rpm")]
    # The planned way down is 2400 rpm in 0.12 s; four times as quick where the rest is taken off.
    assert np.abs(np.diff(rpm)).max() < 2.0 * 4.0 * 2400.0 / 0.12 / RATE_HZ


def test_the_engine_meets_the_next_gear_when_the_closed_form_says(shifted):
    """x' = -x/max(T - t, T/4) - 0.15 x0/T, x the engine's excess over a gear of constant speed: zero at 1.21 T.

    To T/4 before the end x/(T - t) = (x0/T)(1 + 0.15 ln((T - t)/T)); then an exponential to below zero (separation of
    variables): 0.75 + 0.25 ln(1 + (1 + 0.15 ln 0.25)/0.15) = 1.209.
    """
    _, run = shifted
    phase = run(0.0)["phase"]
    first = int(np.flatnonzero(phase == SHIFT)[0])
    samples = int(np.argmax(phase[first:] != SHIFT))
    # The car gathers some speed meanwhile, and 2 ms lie between two samples.
    assert samples / RATE_HZ == pytest.approx(1.209 * 0.12, abs=0.008)


def test_wheels_that_spun_hold_the_road_after_a_shift(car_with, setup_with, conditions):
    """Common practice: a box takes torque back until the engine has met the gear, which ends a spin."""
    car = car_with(front_share=0.0)
    setup = setup_with(launch_rpm=4000.0, launch_pressure=130.0, caps=(170.0,) * 6)
    row = pack(car, default_parameters(car), setup, conditions)
    _, traces = sample_many(row[np.newaxis], int(6.0 * RATE_HZ), RATE_HZ)
    named = {name: traces[0, :, i] for i, name in enumerate(TRACES)}
    on = np.flatnonzero((named["phase"] == SHIFT) & (named["gear"] == 2.0))
    slip = named["rear_slip"]
    assert slip[on[0]] > 0.3
    assert slip[on[-1]] < 0.1
    # It takes longer than where no wheel has a spin to lose.
    assert len(on) / RATE_HZ > 1.3 * 0.12
