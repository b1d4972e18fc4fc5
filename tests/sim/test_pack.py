"""Packing: the one place that goes to base SI, against the physics functions and by round trips."""

from dataclasses import fields, replace

import numpy as np
import pytest

from nextpass.car import FUEL
from nextpass.physics import air, blend, engine, tyre
from nextpass.sim import (
    Parameters,
    Versions,
    default_parameters,
    drive,
    pack,
    pack_car,
    pack_setups,
    until,
    with_pass_luck,
    with_setup,
)
from nextpass.sim import kernel as k


@pytest.fixture(scope="module")
def parameters(car):
    return default_parameters(car)


def test_a_row_has_no_empty_slot(car, parameters, setup_, conditions):
    assert np.isfinite(pack(car, parameters, setup_, conditions)).all()


def test_a_setup_over_a_packed_car_is_the_packed_pass(car, parameters, setup_, setup_with, conditions):
    base = pack_car(car, parameters, conditions)
    other = setup_with(launch_rpm=4000.0).with_values(**{FUEL: "road98"})
    for setup in (setup_, other):
        np.testing.assert_array_equal(
            with_setup(base, car, parameters, setup), pack(car, parameters, setup, conditions)
        )
    # Over a row that already holds a setup too: nothing of the old one is left.
    np.testing.assert_array_equal(
        with_setup(pack(car, parameters, other, conditions), car, parameters, setup_),
        pack(car, parameters, setup_, conditions),
    )
    np.testing.assert_array_equal(
        pack_setups(car, parameters, [setup_, other], conditions)[1], pack(car, parameters, other, conditions)
    )


def test_versions_are_packed_as_each_of_them_is(car, parameters, setup_, setup_with, conditions):
    def moved(field, share):
        value = getattr(parameters, field.name)
        return tuple(share * one for one in value) if isinstance(value, tuple) else share * value

    versions = [replace(parameters, **{field.name: moved(field, 1.05)}) for field in fields(Parameters)]
    each = np.stack([pack(car, one, setup_, conditions) for one in versions])
    table = Versions.of(versions)
    np.testing.assert_allclose(pack(car, table, setup_, conditions), each, rtol=1e-14)
    other = setup_with(launch_rpm=4000.0).with_values(**{FUEL: "road98"})
    np.testing.assert_allclose(
        with_setup(pack_car(car, table, conditions), car, table, other),
        np.stack([pack(car, one, other, conditions) for one in versions]),
        rtol=1e-14,
    )
    grips = np.linspace(0.9, 1.1, len(versions))
    lucky = with_pass_luck(each, grips, np.full(len(versions), 1.5))
    np.testing.assert_allclose(lucky[:, k.FRICTION], grips * each[:, k.FRICTION])
    np.testing.assert_allclose(lucky[:, k.RELEASE_TIME], 1.5 * each[:, k.RELEASE_TIME])
    with pytest.raises(AttributeError):
        _ = table.no_such_field


def test_every_parameter_changes_a_row(car, parameters, setup_, conditions):
    """A parameter that no equation reads could be 'learnt' without meaning anything."""
    row = pack(car, parameters, setup_, conditions)
    for field in fields(Parameters):
        value = getattr(parameters, field.name)
        moved = tuple(1.01 * one for one in value) if isinstance(value, tuple) else 1.01 * value + 0.01
        assert not np.array_equal(pack(car, replace(parameters, **{field.name: moved}), setup_, conditions), row)


def test_air_fuel_and_friction_are_those_of_the_physics_floor(car, parameters, setup_, conditions):
    row = pack(car, parameters, setup_, conditions)
    density = air.density_kgpm3(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity)
    assert row[k.DRAG] == pytest.approx(0.5 * float(density) * car.chassis.drag_area_m2)
    assert row[k.TYRE_B] == pytest.approx(float(tyre.stiffness_for_peak(car.tyres.peak_slip, row[k.TYRE_C])))
    # All injectors open on E60: 6 x 1050 cc/min of the blend.
    assert row[k.INJECTOR_FLOW] == pytest.approx(6 * 1050e-6 / 60.0 * float(blend.blend_density_kgpm3(0.60)))
    rpm = 4000.0
    place = rpm * k.RADPS_PER_RPM / row[k.TABLE_STEP]
    at = int(place)
    base = row[k.TORQUE_BASE + at] + (place - at) * (row[k.TORQUE_BASE + at + 1] - row[k.TORQUE_BASE + at])
    friction_nm = float(engine.torque_nm(engine.motoring_friction_kpa(rpm), car.engine.displacement_l))
    assert base == pytest.approx(-friction_nm, rel=5e-3)  # no pressure, no gas torque


def test_torque_at_the_reference_pressure_is_the_car_files(car, parameters, setup_, conditions):
    row = pack(car, parameters, setup_, conditions)
    rpm = np.arange(k.TABLE_POINTS) * row[k.TABLE_STEP] / k.RADPS_PER_RPM
    torque = row[k.TORQUE_BASE : k.TURBINE].reshape(2, -1)
    at_reference = torque[0] + torque[1] * 200e3
    np.testing.assert_allclose(at_reference, np.interp(rpm, *np.transpose(car.engine.full_load_torque_nm)), rtol=1e-12)


@pytest.mark.parametrize("sliding", [0.5, 0.75, 0.95])
def test_the_tyre_peaks_at_its_slip_and_falls_to_its_sliding_share(car, parameters, setup_, conditions, sliding):
    row = pack(car, replace(parameters, sliding_share=sliding), setup_, conditions)
    slip = np.linspace(0.0, 60.0, 600001)
    pull = np.sin(row[k.TYRE_C] * np.arctan(row[k.TYRE_B] * slip))
    assert slip[np.argmax(pull)] == pytest.approx(car.tyres.peak_slip, abs=2e-4)
    assert pull.max() == pytest.approx(1.0, abs=1e-6)
    assert pull[-1] == pytest.approx(sliding, abs=5e-3)


def test_pressure_rises_in_the_time_that_the_car_file_says(car, parameters, setup_with, still_air):
    """10 to 90 % of the reference boost at 4000 rpm with the wastegate shut, integrated by hand from the packed row."""
    row = pack(car, parameters, setup_with(), still_air)
    place = 4000.0 * k.RADPS_PER_RPM / row[k.TABLE_STEP]
    at = int(place)
    turbine, spool = (
        row[first + at] + (place - at) * (row[first + at + 1] - row[first + at]) for first in (k.TURBINE, k.SPOOL)
    )
    ambient, boost = 101325.0, 200e3 - 101325.0
    pressure, step_s, seconds = ambient + 0.1 * boost, 1e-4, 0.0
    while pressure < ambient + 0.9 * boost:
        held = turbine * (pressure / 200e3) ** parameters.threshold_exponent
        pressure += step_s * spool * pressure * (held - (pressure - ambient))
        seconds += step_s
    assert seconds == pytest.approx(car.engine.boost_rise_time_s, rel=0.02)


def test_a_row_that_ends_early_keeps_the_clocks_up_to_there(car, parameters, setup_, conditions):
    row = pack(car, parameters, setup_, conditions)
    whole, short = drive(row).outputs, drive(until(row, 120.0)).outputs
    assert short["t330ft_s"] == pytest.approx(whole["t330ft_s"], abs=1e-9)
    assert np.isnan(short["t660ft_s"])
    assert np.isnan(short["et_s"])
