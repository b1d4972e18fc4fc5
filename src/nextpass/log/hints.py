"""What the car and the conditions tell about a log before it is opened."""

from dataclasses import dataclass
from pathlib import Path

from nextpass.car import Car, PassRecord
from nextpass.physics import blend


@dataclass(frozen=True, slots=True, kw_only=True)
class LogHints:
    """Facts from outside the log that help to tell one unit from another; None where not known.

    Parameters
    ----------
    barometric_pressure_kpa : float, optional
        Station pressure [kPa]; a barometer in the log goes before it.
    air_temperature_c : float, optional
        [°C].
    gear_ratios : tuple of float
        First gear first; empty where not known.
    final_drive, rolling_radius_m : float, optional
        With the ratios they tie engine speed to vehicle speed.
    front_drive_share : float, optional
        Share of the driving torque on the front axle: 0 rear drive, 1 front drive.
    stoichiometric_afr : float, optional
        Air-fuel ratio by mass at lambda 1 of the fuel in the tank.
    setup_pressures_kpa : tuple of float
        Manifold pressures that the setup asks for, absolute [kPa]: what a logged target must read in the pass.
    sample_rate_hz : float, optional
        Rate of a log that counts samples instead of writing times.
    can_database : Path, optional
        The .dbc of a CAN trace, where it does not lie beside it.
    """

    barometric_pressure_kpa: float | None = None
    air_temperature_c: float | None = None
    gear_ratios: tuple[float, ...] = ()
    final_drive: float | None = None
    rolling_radius_m: float | None = None
    front_drive_share: float | None = None
    stoichiometric_afr: float | None = None
    setup_pressures_kpa: tuple[float, ...] = ()
    sample_rate_hz: float | None = None
    can_database: Path | None = None


def hints_for(car: Car, record: PassRecord | None = None) -> LogHints:
    """Hints that a car file gives, and a pass file where there is one."""
    fuel = None if record is None else car.fuels.get(record.setup.fuel)
    conditions = None if record is None else record.conditions
    return LogHints(
        barometric_pressure_kpa=None if conditions is None else conditions.pressure_kpa,
        air_temperature_c=None if conditions is None else conditions.air_temperature_c,
        setup_pressures_kpa=() if record is None else record.setup.gear_pressure_cap_kpa,
        gear_ratios=car.driveline.gear_ratios,
        final_drive=car.driveline.final_drive,
        rolling_radius_m=car.tyres.rolling_radius_m,
        front_drive_share=car.driveline.front_drive_share,
        stoichiometric_afr=None if fuel is None else float(blend.blend_stoichiometric_afr(fuel.ethanol)),
    )
