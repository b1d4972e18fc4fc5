"""What pressure there is when the driver lets go, against the closed forms of the same equations."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from nextpass.sim import default_parameters, pack
from nextpass.sim import kernel as k

LAUNCH_RPM = 3400.0
AMBIENT_PA = 101325.0


def at_the_line(row):
    """Pressure and its rate of rise at the release [Pa, Pa/s]."""
    y = np.empty(k.STATES)
    k.start(row, y)
    return y[k.PRESSURE], y[k.PRESSURE_RATE]


def at_launch_speed(row, first):
    """A table over engine speed at the launch rpm."""
    points = np.arange(k.TABLE_POINTS) * row[k.TABLE_STEP]
    return np.interp(LAUNCH_RPM * k.RADPS_PER_RPM, points, row[first : first + k.TABLE_POINTS])


@pytest.mark.parametrize("staged_s", [0.15, 0.3, 0.6])
def test_pressure_builds_by_the_logistic_law_while_nothing_holds_it(car, setup_with, still_air, staged_s):
    """A boost H that can be held at any flow gives p' = s p (p_a + H - p): Verhulst's logistic curve (1838; memory)."""
    quick = replace(default_parameters(car), threshold_exponent=0.0, pressure_control_s=0.01, staged_s=staged_s)
    row = pack(car, quick, setup_with(launch_rpm=LAUNCH_RPM, launch_pressure=500.0), still_air)
    ends_pa = AMBIENT_PA + at_launch_speed(row, k.TURBINE)
    grows = at_launch_speed(row, k.SPOOL) * ends_pa
    expected_pa = ends_pa / (1.0 + (ends_pa / AMBIENT_PA - 1.0) * np.exp(-grows * staged_s))
    assert AMBIENT_PA + 5e3 < expected_pa < 0.999 * ends_pa
    assert at_the_line(row)[0] == pytest.approx(expected_pa, rel=0.01)


def test_a_long_wait_ends_at_what_is_asked_or_at_what_the_turbine_holds(car, setup_with, still_air):
    """Held boost equals boost: H(p) = p - p_a, solved apart (Brent)."""
    patient = replace(default_parameters(car), staged_s=20.0)
    asked = pack(car, patient, setup_with(launch_rpm=LAUNCH_RPM, launch_pressure=125.0), still_air)
    assert at_the_line(asked)[0] == pytest.approx(125e3, rel=1e-3)
    weak = replace(patient, threshold_rpm=5200.0)
    row = pack(car, weak, setup_with(launch_rpm=LAUNCH_RPM, launch_pressure=190.0), still_air)
    held_pa = at_launch_speed(row, k.TURBINE)

    def to_spare(pressure_pa):
        held = held_pa * (pressure_pa / row[k.TURBINE_PRESSURE]) ** weak.threshold_exponent
        return held - (pressure_pa - AMBIENT_PA)

    assert at_the_line(row)[0] == pytest.approx(brentq(to_spare, AMBIENT_PA, 190e3), rel=1e-3)


def test_a_quick_release_finds_less_pressure_and_one_at_low_speed_too(car, setup_with, still_air):
    """Common practice: pressure at the line needs engine speed and a moment on the pedal."""

    def line_pa(staged_s, launch_rpm):
        version = replace(default_parameters(car), staged_s=staged_s)
        return at_the_line(pack(car, version, setup_with(launch_rpm=launch_rpm, launch_pressure=190.0), still_air))[0]

    assert AMBIENT_PA < line_pa(0.5, 3400.0) < line_pa(1.0, 3400.0) < line_pa(2.0, 3400.0)
    assert line_pa(1.0, 2600.0) < line_pa(1.0, 3400.0) < line_pa(1.0, 4200.0)


@pytest.mark.parametrize("control_s", [1e-3, 0.02, 0.3])
def test_no_control_is_too_quick_for_the_steps(car, setup_with, still_air, control_s):
    version = replace(default_parameters(car), pressure_control_s=control_s, staged_s=8.0)
    row = pack(car, version, setup_with(launch_rpm=4200.0, launch_pressure=150.0), still_air)
    pressure_pa, rate_paps = at_the_line(row)
    assert pressure_pa == pytest.approx(150e3, rel=1e-3)
    assert abs(rate_paps) < 100.0
