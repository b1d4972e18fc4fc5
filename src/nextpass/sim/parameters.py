"""What the simulation takes about a car: the part of it that passes can correct.

The car file gives the first guess; values that it does not carry are common practice or say where they come from.
Nothing here is a setting: those come with the setup of each pass.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Self

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameters:
    """One version of a car, as the simulation sees it.

    Parameters
    ----------
    mass_kg : float
        As raced [kg].
    torque_scale, torque_low_scale, torque_high_scale : float
        Factor on the car file's torque curve, and further factors on its low end (at `LOW_SHARE` of the rev limit) and
        high end (at the rev limit), linear in between [-].
    torque_pressure_slope : float
        Slope of torque in manifold pressure over that of torque proportional to pressure less friction [-].
    charge_temperature_exponent : float
        Torque follows (reference/charge temperature in kelvin) to this power, to first order [-].
    peak_friction : float
        Tyre pull over load at its peak and at the mean axle load [-]; what belongs to the car and its tyres.
    grip : float
        Factor on it for the day or the pass [-].
    peak_slip, sliding_share : float
        Slip ratio of the peak, and the share of the peak that is left far beyond it [-].
    load_sensitivity : float
        Loss of friction per relative gain of load [-].
    axle_coupling_nm_per_radps : float
        Torque that goes from the faster to the slower axle per difference of wheel speed; 0 for a fixed split.
    gearbox_inertia_kgm2 : float
        Driven side of the clutch, gears and shafts, seen at the driven wheels [kg m2].
    rolling_radius_m, drag_area_m2, rolling_resistance : float
        [m], [m2], [-].
    pressure_rise_s : float
        Time of boost from 10 to 90 % of the engine's reference at 4000 rpm with the wastegate shut [s].
    pressure_rise_exponent : float
        The turbocharger gathers speed faster with engine speed to this power [-].
    pressure_control_s, pressure_overshoot : float
        Time constant with which control closes the last of the way to the target [s]; overshoot over a step [-].
    pressure_hold : float
        Pressure that is held over pressure that is asked for, both absolute [-].
    threshold_rpm, threshold_exponent : float
        Engine speed from which the engine's reference pressure can be held at standard barometer [rpm]; the boost that
        can be held goes with air flow, which is pressure times engine speed, to this power.
    staged_s : float
        Time for which the turbocharger gathers speed at the line, full throttle at launch rpm, before the release [s].
    launch_release_s : float
        Time in which the clutch takes the engine's torque [s].
    launch_hold_s : float
        Time constant with which the clutch brings the engine back to launch rpm [s].
    launch_hold_share : float
        Engine speed held while the clutch slips over the launch rpm that is set [-].
    launch_feed : float
        Torque that the clutch is fed at the launch over the engine's own [-]; above 1 it drags the engine down.
    launch_flare_rpm : float
        How far above the launch rpm that is set the launch limiter has taken all of the engine's torque [rpm].
    clutch_capacity_scale : float
        Factor on the car file's clutch capacity [-].
    shift_time_s, shift_torque_share : float
        Time in which the engine is led down to the next gear [s], a fifth longer until it has met it, and longer still
        where wheels lose a spin meanwhile; share of its torque that it makes until then [-].
    shift_momentum_share : float
        Share of the engine's momentum that the oncoming clutch carries to the wheels [-]; 0 where a driver's foot
        keeps it open.
    shift_offset_rpm : float
        Engine speed at which the box shifts over the one that is set [rpm].
    charge_rise_share, charge_rise_growth : float
        Share of the compressor's heating left after the intercooler, at the car file's pressure and `MIDDLE_SHARE`; it
        grows with air flow to this power [-].
    cooler_core_share, cooler_core_s : float
        Share of the charge's rise over the air around to which the intercooler itself warms [-]; time constant [s].
    charge_time_s, charge_soak_c : float
        Lag of the charge temperature's sensor behind the air [s]; intercooler over the air around at the launch [K].
    fuel_flow_scale : float
        Fuel that the injectors must give over that of an engine filled to `VOLUMETRIC_EFFICIENCY` at `MIDDLE_SHARE` of
        its speed [-].
    injector_dead_s : float
        Opening time of an injector [s].
    pump_flow_scale : float
        What the pumps give under load over their rating [-].
    wot_lambda : float
        Mixture at full load [-].
    knock_onset_kpa : tuple of float
        Manifold pressure at which knock control begins to retard, one a fuel in the order of the car file [kPa].
    knock_slope_degpkpa : float
        Retard per pressure over the onset [deg/kPa].
    knock_per_kelvin_kpa : float
        By how much the onset falls per kelvin of charge temperature [kPa/K].
    gearbox_oil_c : float
        At the launch [°C].
    """

    mass_kg: float
    torque_scale: float = 1.0
    torque_low_scale: float = 1.0
    torque_high_scale: float = 1.0
    torque_pressure_slope: float = 1.0
    charge_temperature_exponent: float = 0.6
    efficiency: float
    peak_friction: float
    grip: float = 1.0
    peak_slip: float
    # Dry asphalt and concrete: peak 0.8 to 0.9, sliding 0.75 (Wong, Theory of Ground Vehicles, ch. 1; from memory).
    sliding_share: float = 0.87
    load_sensitivity: float = 0.08
    axle_coupling_nm_per_radps: float = 0.0
    # Driven plates of 0.01 kg m2 through a first gear of 14 overall (common practice).
    gearbox_inertia_kgm2: float = 2.0
    rolling_radius_m: float
    drag_area_m2: float
    rolling_resistance: float
    pressure_rise_s: float
    pressure_rise_exponent: float = 1.0
    pressure_control_s: float = 0.10
    pressure_overshoot: float = 0.05
    pressure_hold: float = 1.0
    threshold_rpm: float
    # 2 while a turbine is far from choking, under 1 when it chokes (isentropic expansion behind a flow that goes with
    # the root of the pressure drop; Watson & Janota, Turbocharging the Internal Combustion Engine, memory).
    threshold_exponent: float = 1.5
    # A second or two on the pedal before the clutch is let go (common practice).
    staged_s: float = 1.5
    launch_release_s: float = 0.15
    launch_hold_s: float = 0.12
    launch_hold_share: float = 1.0
    launch_feed: float = 1.0
    launch_flare_rpm: float = 300.0
    clutch_capacity_scale: float = 1.0
    shift_time_s: float
    # All of it while the packs hand over, less than half while the engine is slowed (common practice).
    shift_torque_share: float = 0.4
    shift_momentum_share: float = 1.0
    shift_offset_rpm: float = 0.0
    charge_rise_share: float = 0.30
    # A cooler of 75 % effectiveness lets pass exp(-NTU), NTU = 1.4, and NTU falls with flow to the power of about 0.4
    # (effectiveness-NTU method, Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, ch. 11, memory).
    charge_rise_growth: float = 0.55
    cooler_core_share: float = 0.20
    cooler_core_s: float = 4.0
    charge_time_s: float = 0.7
    charge_soak_c: float = 5.0
    fuel_flow_scale: float = 1.0
    injector_dead_s: float = 0.0008
    pump_flow_scale: float = 0.85
    wot_lambda: float = 0.82
    knock_onset_kpa: tuple[float, ...]
    knock_slope_degpkpa: float = 0.10
    knock_per_kelvin_kpa: float = 0.6
    gearbox_oil_c: float = 80.0


@dataclass(frozen=True, slots=True)
class Versions:
    """Many versions of one car as a table that is read like one of them: each field of `Parameters` is a column.

    Parameters
    ----------
    columns : Mapping[str, ndarray], shape (m,) each
        By field; of the onset of knock (fuels, m).
    """

    columns: Mapping[str, FloatArray]

    def __getattr__(self, name: str) -> FloatArray:
        if name in self.__slots__ or name not in self.columns:
            raise AttributeError(name)
        return self.columns[name]

    @classmethod
    def of(cls, versions: Sequence[Parameters]) -> Self:
        """Table of single versions."""
        names = [field.name for field in fields(Parameters)]
        return cls({name: np.array([getattr(one, name) for one in versions], dtype=np.float64).T for name in names})


# Engine speed of `torque_low_scale`, and of the car file's curve as it stands, as shares of the rev limit.
LOW_SHARE = 0.35
MIDDLE_SHARE = 0.68
# Manifold filling at full load, referred to manifold density (common practice for four valves a cylinder).
VOLUMETRIC_EFFICIENCY = 0.95
# A calibrated ceiling of a fuel is set below its knock onset; by how much is common practice.
ONSET_OVER_CEILING = 1.06


def default_parameters(car: Car) -> Parameters:
    """Parameters of a car as its file gives them, before any pass.

    Parameters
    ----------
    car : Car
        The car file.

    Returns
    -------
    value : Parameters
        With documented defaults where the file says nothing.
    """
    return Parameters(
        mass_kg=car.chassis.mass_kg,
        efficiency=car.driveline.efficiency,
        peak_friction=car.tyres.peak_friction,
        peak_slip=car.tyres.peak_slip,
        rolling_radius_m=car.tyres.rolling_radius_m,
        drag_area_m2=car.chassis.drag_area_m2,
        rolling_resistance=car.chassis.rolling_resistance,
        pressure_rise_s=car.engine.boost_rise_time_s,
        threshold_rpm=car.engine.boost_threshold_rpm,
        shift_time_s=car.driveline.shift_time_s,
        knock_onset_kpa=tuple(ONSET_OVER_CEILING * fuel.manifold_pressure_max_kpa for fuel in car.fuels.values()),
    )
