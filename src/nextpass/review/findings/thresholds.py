"""From where on something is worth saying: every threshold of the findings with its unit and origin.

A car file changes one by its name under ``[thresholds]``. Limits that a plan must keep as well (injector duty, knock,
lambda, rail pressure, temperatures, clutch heat) are the car's guards and stand there, not here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from nextpass.car import Car


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """One threshold: its name as in a car file, usual value, unit and where the value comes from."""

    name: str
    value: float
    unit: str
    origin: str


_PRACTICE = "common practice"
_SLIP = "twice the slip at which a road tyre pulls hardest (Pacejka; about 0.1)"
_NOISE = "clear of the scatter of sound logs at 24 Hz"

TABLE: tuple[Threshold, ...] = (
    # name, value, unit, origin: launch
    Threshold(name="launch_rpm_off", value=0.06, unit="ratio of launch rpm", origin=_PRACTICE),
    Threshold(
        name="launch_rpm_spread",
        value=120.0,
        unit="rpm, 5 to 95 % of the mean over a tenth of a second",
        origin=_PRACTICE,
    ),
    Threshold(name="launch_dip", value=0.15, unit="ratio of the held speed, at the release", origin=_PRACTICE),
    Threshold(name="release_s", value=0.42, unit="s to 80 % of the launch's acceleration", origin=_PRACTICE),
    Threshold(name="bog_s", value=0.30, unit="s below the boost threshold, short of pressure", origin=_PRACTICE),
    Threshold(name="bog_shortfall", value=0.15, unit="ratio of target pressure", origin=_PRACTICE),
    # traction
    Threshold(name="slip_ratio", value=0.20, unit="ratio", origin=_SLIP),
    Threshold(name="slip_watch_s", value=0.15, unit="s in one gear", origin=_NOISE),
    Threshold(name="slip_act_s", value=0.30, unit="s in one gear", origin=_PRACTICE),
    # boost
    Threshold(name="overshoot", value=0.05, unit="ratio of target pressure", origin=_PRACTICE),
    Threshold(name="overshoot_kpa", value=8.0, unit="kPa", origin=_NOISE),
    Threshold(name="overshoot_act", value=0.09, unit="ratio of target pressure", origin=_PRACTICE),
    Threshold(name="overshoot_act_kpa", value=14.0, unit="kPa", origin=_PRACTICE),
    Threshold(name="overshoot_s", value=0.10, unit="s", origin=_NOISE),
    Threshold(name="over_fuel_limit_kpa", value=5.0, unit="kPa over the fuel's limit", origin=_NOISE),
    Threshold(name="shortfall", value=0.05, unit="ratio of target pressure", origin=_PRACTICE),
    Threshold(name="shortfall_kpa", value=7.0, unit="kPa", origin=_NOISE),
    Threshold(name="shortfall_s", value=0.50, unit="s", origin=_PRACTICE),
    Threshold(name="wastegate_high", value=0.85, unit="duty 0..1", origin="little authority is left (common practice)"),
    Threshold(name="wastegate_low", value=0.08, unit="duty 0..1", origin="the gate is as open as it gets"),
    Threshold(name="rise_factor", value=1.40, unit="times the car file's rise time", origin=_PRACTICE),
    Threshold(name="oscillation_kpa", value=6.0, unit="kPa amplitude", origin=_NOISE),
    Threshold(
        name="offset_kpa", value=5.0, unit="kPa over target, alike in all gears", origin="over a sensor's own error"
    ),
    Threshold(name="throttle_closed", value=0.85, unit="opening 0..1", origin=_PRACTICE),
    Threshold(name="throttle_closed_s", value=0.15, unit="s", origin=_NOISE),
    # fuelling
    Threshold(name="lean", value=0.035, unit="lambda over target", origin=_PRACTICE),
    Threshold(name="lean_s", value=0.20, unit="s", origin="longer than a sensor's transport delay"),
    Threshold(name="lean_stop", value=0.08, unit="lambda over target, under boost", origin=_PRACTICE),
    Threshold(name="rich", value=0.035, unit="lambda under target", origin=_NOISE),
    Threshold(name="rich_lambda", value=0.74, unit="lambda, where no target is logged", origin=_PRACTICE),
    Threshold(name="rich_s", value=0.40, unit="s", origin=_PRACTICE),
    Threshold(
        name="trim", value=0.09, unit="ratio", origin="+-10 % is where control units set codes (common practice)"
    ),
    Threshold(name="banks_trim_apart", value=0.06, unit="ratio between banks", origin=_PRACTICE),
    Threshold(name="banks_lambda_apart", value=0.035, unit="lambda between banks", origin=_PRACTICE),
    # supply
    Threshold(name="injector_static", value=0.98, unit="duty 0..1", origin="the injector no longer closes"),
    Threshold(name="injector_static_s", value=0.15, unit="s", origin=_NOISE),
    Threshold(name="headroom_air", value=0.10, unit="ratio of air more", origin="the next step of a calibrator"),
    Threshold(name="rail_watch", value=0.05, unit="ratio of rail pressure lost", origin=_PRACTICE),
    Threshold(name="rail_s", value=0.15, unit="s", origin=_NOISE),
    # knock and ignition
    Threshold(name="knock_watch_deg", value=1.0, unit="deg", origin="one step of most knock controls"),
    Threshold(name="knock_act", value=0.6, unit="ratio of the guard", origin=_PRACTICE),
    Threshold(name="knock_s", value=0.06, unit="s", origin=_NOISE),
    Threshold(
        name="ignition_pulled_deg",
        value=2.0,
        unit="deg below the rest of the pass, mean over 0.2 s",
        origin="four times the scatter of sound passes",
    ),
    Threshold(name="ignition_pulled_s", value=0.10, unit="s of that mean", origin=_NOISE),
    # gearbox
    Threshold(name="clutch_slip_rpm", value=110.0, unit="rpm after lock-up", origin="7 kW at 600 N m turn to heat"),
    Threshold(name="clutch_slip_s", value=0.30, unit="s", origin=_NOISE),
    Threshold(name="clutch_slip_stop_rpm", value=500.0, unit="rpm after lock-up", origin=_PRACTICE),
    Threshold(name="shift_over_s", value=0.13, unit="s over the car file's shift time", origin=_PRACTICE),
    Threshold(name="shift_watch_s", value=0.04, unit="s over the pass's other shifts", origin=_NOISE),
    Threshold(name="shift_over_others_s", value=0.06, unit="s over the pass's other shifts", origin=_PRACTICE),
    Threshold(name="late_shift_rpm", value=15.0, unit="rpm over the set speed, in the median", origin=_PRACTICE),
    Threshold(name="flare_rpm", value=250.0, unit="rpm over the old ratio", origin=_PRACTICE),
    Threshold(name="rev_limiter", value=0.99, unit="ratio of the rev limit", origin=_PRACTICE),
    Threshold(name="rev_limiter_s", value=0.10, unit="s", origin=_NOISE),
    # pull and roll
    Threshold(name="power_fades", value=0.08, unit="ratio of torque for its pressure, gear to gear", origin=_NOISE),
    Threshold(
        name="drag_mps2",
        value=0.15,
        unit="m/s2 of coast-down over the car file's",
        origin="over twice what 8 % of drag and a breeze make at 180 km/h",
    ),
    Threshold(name="early_lift_m", value=15.0, unit="m before the beam", origin=_PRACTICE),
    # heat
    Threshold(name="coolant_c", value=108.0, unit="degC", origin=_PRACTICE),
    Threshold(name="oil_c", value=130.0, unit="degC", origin=_PRACTICE),
    Threshold(name="near_limit_c", value=5.0, unit="degC below a limit", origin=_PRACTICE),
    Threshold(name="coolant_climb_c", value=6.0, unit="degC over the pass", origin=_PRACTICE),
    Threshold(name="gearbox_climb_c", value=12.0, unit="degC over the pass", origin=_PRACTICE),
    Threshold(name="charge_soak_c", value=15.0, unit="degC over the air before the launch", origin=_PRACTICE),
    Threshold(
        name="cooler_effectiveness", value=0.55, unit="ratio", origin="a sound air cooler reaches 0.7 (common practice)"
    ),
    # sensors and supply voltage
    Threshold(name="battery_watch_v", value=12.4, unit="V with the engine running", origin=_PRACTICE),
    Threshold(name="battery_act_v", value=11.5, unit="V with the engine running", origin=_PRACTICE),
    Threshold(name="stuck_s", value=2.0, unit="s without any change under power", origin=_PRACTICE),
    Threshold(name="clipped_s", value=0.50, unit="s at the end of the range", origin=_PRACTICE),
    Threshold(name="gap_s", value=0.30, unit="s under power without a sample", origin="a shift falls into it"),
    Threshold(name="slow_log_hz", value=15.0, unit="rows a second", origin="a shift falls between two samples"),
)

USUAL: Mapping[str, Threshold] = MappingProxyType({threshold.name: threshold for threshold in TABLE})


def limits_of(car: Car) -> Mapping[str, float]:
    """Every threshold by name, as this car's file changes it.

    Parameters
    ----------
    car : Car

    Returns
    -------
    Mapping of str to float
        In the unit that `USUAL` states.
    """
    return {name: car.thresholds.get(name, threshold.value) for name, threshold in USUAL.items()}
