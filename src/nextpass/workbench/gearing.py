"""How fast is each gear at the shift, where does the engine land, and what does the shift cost?

Geometry of ratios and rolling radius, nothing slipping. The energy is what the engine gives up from one speed to the
next: a push on the road and heat in the on-coming clutch.
"""

from nextpass.car import Car
from nextpass.measure import Estimate
from nextpass.physics import gearing
from nextpass.words import phrase
from nextpass.workbench.tyres import ROLLING_RADIUS
from nextpass.workbench.worked import Line, WorkedSum, line, worked_out


def gearing_sum(car: Car, shift_rpm: float) -> WorkedSum:
    """Speeds and engine speeds of the upshifts.

    Parameters
    ----------
    car : Car
        Ratios, tyres, inertia and boost threshold.
    shift_rpm : float
        Engine speed of the upshifts [rpm].

    Returns
    -------
    WorkedSum
        Results a gear: shift_speed_mps; but for the top one also landing_rpm, rpm_drop, shift_energy_j.

    Raises
    ------
    ValueError
        On a ratio or radius of zero or less.

    References
    ----------
    `nextpass.physics.gearing`.
    """
    ratios = car.driveline.gear_ratios
    radius = Estimate(value=car.tyres.rolling_radius_m, plus_minus=ROLLING_RADIUS * car.tyres.rolling_radius_m)
    results = [found for gear in range(1, len(ratios) + 1) for found in _gear_lines(car, shift_rpm, gear, radius)]
    landings = [found.value for found in results if found.name == "landing_rpm"]
    falls_off_boost = any(
        isinstance(landing, Estimate) and landing.value < car.engine.boost_threshold_rpm for landing in landings
    )
    return WorkedSum(
        title=phrase("workbench.title.gearing"),
        inputs=(
            line("shift_rpm", shift_rpm),
            line("rolling_radius_m", radius),
            line("final_drive", car.driveline.final_drive),
            *(line("gear_ratio", ratio, gear=gear) for gear, ratio in enumerate(ratios, start=1)),
        ),
        steps=(),
        results=tuple(results),
        cautions=(
            *((phrase("workbench.caution.off_boost"),) if falls_off_boost else ()),
            *((phrase("workbench.caution.over_rev"),) if shift_rpm > car.engine.rev_limit_rpm else ()),
        ),
    )


def _gear_lines(car: Car, shift_rpm: float, gear: int, radius: Estimate) -> list[Line]:
    ratios = car.driveline.gear_ratios
    overall = ratios[gear - 1] * car.driveline.final_drive
    speed = worked_out(lambda radius: gearing.road_speed_mps(shift_rpm, overall, radius), "beyond", radius=radius)
    lines = [line("shift_speed_mps", speed, "2 π r n/(60 N)", gear)]
    if gear < len(ratios):
        landing = float(gearing.rpm_after_shift(shift_rpm, ratios[gear - 1], ratios[gear]))
        energy = float(gearing.shift_energy_j(shift_rpm, landing, car.driveline.engine_inertia_kgm2))
        lines += [
            line("landing_rpm", landing, "n i2/i1", gear),
            line("rpm_drop", shift_rpm - landing, "n - n2", gear),
            line("shift_energy_j", energy, "½ I (ω1² - ω2²)", gear),
        ]
    return lines
