"""What the air and the track of the pass to come do to it, in sentences."""

from nextpass.car import Conditions, Setup
from nextpass.physics import air, atmosphere
from nextpass.plan.expected import Scenarios, elapsed_s, scenarios_of
from nextpass.words import phrase


def density_altitude_m(conditions: Conditions) -> float:
    """Altitude of the standard atmosphere with the density of a day's air [m]."""
    density = air.density_kgpm3(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity)
    return float(atmosphere.density_altitude_m(density))


def day_sentences(scenarios: Scenarios, newest: Setup, newest_day: Conditions) -> tuple[str, ...]:
    """The day to come against that of the newest pass.

    Parameters
    ----------
    scenarios : Scenarios
        On the day to come.
    newest : Setup
        Run on both days for the comparison.
    newest_day : Conditions
        Of the newest pass.

    Returns
    -------
    tuple of str
        Density altitude, and where the day differs what that does to the last setup, by simulating both days.
    """
    altitude_m = density_altitude_m(scenarios.conditions)
    if scenarios.conditions == newest_day:
        return (phrase("plan.day.air", altitude=f"{altitude_m:.0f}"),)
    before = scenarios_of(scenarios.car, scenarios.versions, newest_day)
    change_s = float(elapsed_s(scenarios.drive([newest])).mean() - elapsed_s(before.drive([newest])).mean())
    moved_m = altitude_m - density_altitude_m(newest_day)
    return (
        phrase(
            "plan.day.air_moved",
            altitude=f"{altitude_m:.0f}",
            change=f"{moved_m:+.0f}",
            seconds=f"{change_s:+.2f}",
        ),
        phrase("plan.day.grip"),
    )
