"""The practice logs, of cars that nobody here modelled, are matched without help."""

from pathlib import Path

import pytest

from nextpass.files import read_car, read_pass
from nextpass.log import hints_for, open_log

PRACTICE = Path(__file__).parents[3] / "shared" / "practice"
pytestmark = pytest.mark.skipif(not PRACTICE.is_dir(), reason="the practice passes are not beside this checkout")
CARS = ("harrow", "linton", "wyke")
PASSES = [f"{car}/pass{number}" for car in CARS for number in (1, 2, 3)]

# What the header says in words and units, by hand: column to channel and unit as taken.
HARROW = {
    "Engine RPM": ("engine_rpm", "rpm"),
    "Vehicle Speed (km/h)": ("vehicle_speed_mps", "km/h"),
    "Wheel Speed FL (km/h)": ("wheel_speed_fl_mps", "km/h"),
    "Wheel Speed FR (km/h)": ("wheel_speed_fr_mps", "km/h"),
    "Wheel Speed RL (km/h)": ("wheel_speed_rl_mps", "km/h"),
    "Wheel Speed RR (km/h)": ("wheel_speed_rr_mps", "km/h"),
    "GPS Speed (km/h)": ("gps_speed_mps", "km/h"),
    "Long Accel (g)": ("longitudinal_acceleration_mps2", "g"),
    "MAP (kPa)": ("manifold_pressure_kpa", "kPa absolute"),
    "Boost Target (kPa)": ("target_pressure_kpa", "kPa absolute"),
    "Gear": ("gear", ""),
    "Throttle (%)": ("throttle", "%"),
    "Accel Pedal (%)": ("pedal", "%"),
    "Lambda B1": ("lambda_bank1", "lambda"),
    "Lambda Target": ("lambda_target", "lambda"),
    "Injector Duty (%)": ("injector_duty", "%"),
    "Fuel Pressure (kPa)": ("rail_pressure_kpa", "kPa"),
    "Ignition (deg)": ("ignition_advance_deg", "deg"),
    "Knock Retard (deg)": ("knock_retard_deg", "deg"),
    "Charge Air Temp (C)": ("charge_temperature_c", "°C"),
    "Coolant Temp (C)": ("coolant_temperature_c", "°C"),
    "Oil Temp (C)": ("oil_temperature_c", "°C"),
    "Gearbox Oil Temp (C)": ("gearbox_oil_temperature_c", "°C"),
    "STFT B1 (%)": ("short_trim_bank1", "%"),
    "STFT B2 (%)": ("short_trim_bank2", "%"),
    "Battery (V)": ("battery_v", "V"),
    "Wastegate Duty (%)": ("wastegate_duty", "%"),
    "Clutch Torque (Nm)": ("clutch_torque_nm", "Nm"),
    "Baro (kPa)": ("barometric_pressure_kpa", "kPa absolute"),
}
LINTON = {
    "Engine speed [rpm]": ("engine_rpm", "rpm"),
    "Vehicle speed [mph]": ("vehicle_speed_mps", "mph"),
    "Wheel speed front left [mph]": ("wheel_speed_fl_mps", "mph"),
    "Wheel speed front right [mph]": ("wheel_speed_fr_mps", "mph"),
    "Wheel speed rear left [mph]": ("wheel_speed_rl_mps", "mph"),
    "Wheel speed rear right [mph]": ("wheel_speed_rr_mps", "mph"),
    "GPS speed [mph]": ("gps_speed_mps", "mph"),
    "Longitudinal acceleration [m/s2]": ("longitudinal_acceleration_mps2", "m/s2"),
    "Manifold pressure [bar abs]": ("manifold_pressure_kpa", "bar absolute"),
    "Requested manifold pressure [bar abs]": ("target_pressure_kpa", "bar absolute"),
    "Selected gear [-]": ("gear", ""),
    "Throttle position [%]": ("throttle", "%"),
    "Lambda [-]": ("lambda_bank1", "lambda"),
    "Injector duty cycle [%]": ("injector_duty", "%"),
    "Rail pressure [bar]": ("rail_pressure_kpa", "bar"),
    "Spark advance [deg]": ("ignition_advance_deg", "deg"),
    "Knock correction [deg]": ("knock_retard_deg", "deg"),
    "Intake air temperature [degC]": ("intake_temperature_c", "°C"),
    "Coolant temperature [degC]": ("coolant_temperature_c", "°C"),
    "Transmission oil temperature [degC]": ("gearbox_oil_temperature_c", "°C"),
    "Supply voltage [V]": ("battery_v", "V"),
    "Fuel trim bank 1 [%]": ("short_trim_bank1", "%"),
    "Fuel trim bank 2 [%]": ("short_trim_bank2", "%"),
    "Boost control duty [%]": ("wastegate_duty", "%"),
}
# The air at this strip has 84.2 kPa, and the logged target meets the setup's caps only over a standard atmosphere;
# the gauge reads 14.7 at idle with E85 in the tank, so its scale is gasoline's.
WYKE = {
    "RPM": ("engine_rpm", "rpm"),
    "Speed (mph)": ("vehicle_speed_mps", "mph"),
    "FL Wheel (mph)": ("wheel_speed_fl_mps", "mph"),
    "FR Wheel (mph)": ("wheel_speed_fr_mps", "mph"),
    "RL Wheel (mph)": ("wheel_speed_rl_mps", "mph"),
    "RR Wheel (mph)": ("wheel_speed_rr_mps", "mph"),
    "Accel X (g)": ("longitudinal_acceleration_mps2", "g"),
    "Boost (psi)": ("manifold_pressure_kpa", "psi gauge@101.325"),
    "Target Boost (psi)": ("target_pressure_kpa", "psi gauge@101.325"),
    "Gear Position": ("gear", ""),
    "Throttle Opening (%)": ("throttle", "%"),
    "AFR": ("lambda_bank1", "AFR@14.7"),
    "Inj Duty (%)": ("injector_duty", "%"),
    "Fuel Pressure (psi)": ("rail_pressure_kpa", "psi"),
    "Knock Retard (deg)": ("knock_retard_deg", "deg"),
    "IAT (F)": ("intake_temperature_c", "°F"),
    "ECT (F)": ("coolant_temperature_c", "°F"),
    "Trans Temp (F)": ("gearbox_oil_temperature_c", "°F"),
    "Battery (V)": ("battery_v", "V"),
    "Baro (psi)": ("barometric_pressure_kpa", "psi absolute"),
}
EXPECTED = {"harrow": HARROW, "linton": LINTON, "wyke": WYKE}


def opened(name):
    car = read_car(PRACTICE / name.split("/")[0] / "car.toml")
    record = read_pass(PRACTICE / name, car)
    return open_log(record.logs[0], hints_for(car, record))


@pytest.mark.parametrize("name", PASSES)
def test_every_column_is_matched_with_its_channel_and_unit(name):
    log = opened(name)
    assert not log.questions
    assert {match.column: (match.channel, match.unit) for match in log.matches} == EXPECTED[name.split("/")[0]]


@pytest.mark.parametrize("name", [name for name in PASSES if not name.startswith("wyke")])
def test_the_receivers_own_rate_is_found_under_the_rows(name):
    # 10 Hz, as the intervals between its changes show; the rows come at 24 and 40 Hz.
    assert opened(name).quality.rates_hz["gps_speed_mps"] == pytest.approx(10.0, rel=0.02)


@pytest.mark.parametrize("name", PASSES)
def test_nothing_alarms_in_a_clean_log(name):
    quality = opened(name).quality
    assert not quality.gaps
    assert all(remark.startswith(("rows come at", "sampled at", "'Boost (psi)'")) for remark in quality.remarks)
