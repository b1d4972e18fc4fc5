"""An invented afternoon: one wagon, its owner, his strip and the three passes that he made before he asked for a plan.

First he is careful, then greedy, then he takes first gear back and goes on with the rest: what many afternoons look
like. Everything is made up; the numbers are nobody's.
"""

from dataclasses import dataclass, replace

from nextpass.car import AdjusterValue, Conditions, Guards, Setup
from nextpass.proving.build import build
from nextpass.proving.design import Belief, Design, FuelDesign
from nextpass.proving.drive import drive_pass
from nextpass.proving.logger import Logger
from nextpass.proving.outcome import Outcome
from nextpass.proving.sensors import Mounting
from nextpass.proving.strip import Strip
from nextpass.proving.truth import ProvingCar


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoPass:
    """One pass of the afternoon as its driver planned it."""

    number: int
    setup: Setup
    conditions: Conditions
    notes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoDay:
    """The afternoon.

    Parameters
    ----------
    owner : str
        Who brings the car.
    passes : tuple of DemoPass
        The three that were run.
    conditions_to_come : Conditions
        When the fourth can be run.
    """

    owner: str
    car: ProvingCar
    strip: Strip
    logger: Logger
    passes: tuple[DemoPass, ...]
    conditions_to_come: Conditions


def demo_day() -> DemoDay:
    """The afternoon at the invented strip, always the same."""
    warm = Conditions(
        air_temperature_c=23.5,
        pressure_kpa=99.6,
        humidity=0.47,
        track_temperature_c=36.0,
        headwind_mps=0.8,
    )
    careful = _setup(2600.0, 115.0, (150.0, 165.0, 175.0, 185.0, 190.0, 190.0, 190.0), 6500.0)
    greedy = _setup(4400.0, 185.0, (235.0, 225.0, 215.0, 220.0, 225.0, 225.0, 225.0), 6700.0)
    sobered = _setup(3000.0, 130.0, (160.0, 195.0, 225.0, 240.0, 245.0, 245.0, 245.0), 6700.0)
    notes = ("first of the day, easy", "too much, smoke out of the hole", "less in first, more on top")
    passes = tuple(
        DemoPass(
            number=number,
            setup=setup,
            # The afternoon cools by the half hour.
            conditions=replace(warm, air_temperature_c=23.5 - 0.5 * number, track_temperature_c=37.0 - number),
            notes=note,
        )
        for number, (setup, note) in enumerate(zip((careful, greedy, sobered), notes, strict=True), start=1)
    )
    return DemoDay(
        owner="Tamsin Oake",
        car=build(_design(), _belief()),
        strip=Strip(name="Fenmoor Strip", prepared_m=140.0, beyond=0.95, seed=411),
        logger=Logger(
            dialect="bench",
            rate_hz=40.0,
            mounting=Mounting(bias_mps2=0.09, tilt_deg=0.8, gain=1.004, gps_rate_hz=10.0, gps_lag_s=0.18),
        ),
        passes=passes,
        conditions_to_come=replace(warm, air_temperature_c=21.5, track_temperature_c=33.0),
    )


def drive_demo_pass(day: DemoDay, setup: Setup, conditions: Conditions, number: int) -> Outcome:
    """A pass of that afternoon at any setup; the number draws its luck.

    Parameters
    ----------
    day : DemoDay
    setup : Setup
    conditions : Conditions
    number : int
        Count on the day.
    """
    return drive_pass(day.car, day.strip, conditions, setup, seed=2600 + number)


def _setup(launch_rpm: float, launch_kpa: float, caps_kpa: tuple[float, ...], shift_rpm: float) -> Setup:
    values: dict[str, AdjusterValue] = {
        "fuel": "E60",
        "launch_rpm": launch_rpm,
        "launch_pressure_kpa": launch_kpa,
        "gear_pressure_cap_kpa": caps_kpa,
        "shift_rpm": shift_rpm,
        "charge_spray": False,
    }
    return Setup(values=values)


def _design() -> Design:
    return Design(
        name="Oake wagon",
        mass_kg=1718.0,
        wheelbase_m=2.83,
        cg_height_m=0.52,
        front_weight_share=0.55,
        drag_area_m2=0.66,
        rolling_resistance=0.0135,
        rolling_radius_m=0.3362,
        front_friction=1.03,
        rear_friction=1.05,
        peak_slip=0.105,
        slip_shape=1.42,
        gear_ratios=(3.92, 2.46, 1.74, 1.33, 1.07, 0.88, 0.74),
        final_drive=3.85,
        efficiency=0.885,
        front_drive_share=0.38,
        coupling_nms=70.0,
        engine_inertia_kgm2=0.19,
        wheel_inertia_kgm2=1.4,
        clutch_capacity_nm=(890.0, 875.0),
        clutch_heat_j_per_k=6200.0,
        shift_time_s=0.115,
        displacement_l=3.3,
        cylinders=6,
        rev_limit_rpm=7100.0,
        peak_torque_nm=575.0,
        best_filling_rpm=4700.0,
        filling_high=0.5,
        threshold_rpm=2750.0,
        rise_time_s=0.50,
        injector_flow_cc_min=980.0,
        rated_pressure_kpa=300.0,
        pump_1_l_h=225.0,
        pump_2_l_h=190.0,
        fuels={
            "E60": FuelDesign(
                ethanol=0.60, octane_ron=105.0, pressure_max_kpa=255.0, knock_onset_kpa=246.0, spark_behind_deg=4.5
            )
        },
        guards=Guards(
            injector_duty=0.90,
            knock_retard_deg=3.0,
            wot_lambda_max=0.90,
            clutch_energy_j=160e3,
            gearbox_oil_c=115.0,
            charge_air_c=75.0,
            rail_pressure_drop=0.10,
            pressure_step_kpa=40.0,
        ),
        launch_rpm=(2000.0, 5000.0),
        launch_pressure_kpa=(100.0, 190.0),
        pressure_cap_kpa=(110.0, 265.0),
        shift_rpm=(6000.0, 7000.0),
        switches=("charge_spray",),
        spray_gain=0.5,
    )


def _belief() -> Belief:
    return Belief(
        mass=1.02,
        drag=0.95,
        radius=1.006,
        torque=1.06,
        torque_tilt=-0.05,
        rise_time=0.88,
        threshold=0.96,
        capacity=1.03,
        injector=1.02,
        inertia=1.08,
    )
