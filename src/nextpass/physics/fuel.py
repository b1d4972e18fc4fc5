"""How much air does a fuel need, and how much heat does it give?

From the formula C_x H_y O_z of one molecule: the air that burns it to carbon dioxide and water, and its heating value
from heats of formation. Then the fuel that an air flow, or a power, asks for. Blends of gasoline and ethanol stand in
`blend`. What counts as air moves a ratio by 0.7 %, so the definition is an argument.
"""

from typing import Final

from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, floats, not_negative, positive

# Molar masses [g/mol], IUPAC 2021 abridged.
_CARBON_GPMOL, _HYDROGEN_GPMOL, _OXYGEN_GPMOL, _NITROGEN_GPMOL = 12.011, 1.008, 15.999, 14.007

# Heats of formation at 25 °C [J/mol]: carbon dioxide and steam, CODATA key values (1989).
_CARBON_DIOXIDE_JPMOL, _STEAM_JPMOL = -393.51e3, -241.826e3

AIR_TWO_GASES_GPMOL: Final = 2 * _OXYGEN_GPMOL + 3.773 * 2 * _NITROGEN_GPMOL
"""Mass of air that brings one mole of oxygen [g/mol], air being O2 + 3.773 N2 (Heywood, 1988, section 3.2)."""

AIR_ROUNDED_GPMOL: Final = 2 * _OXYGEN_GPMOL + 3.76 * 2 * _NITROGEN_GPMOL
"""The same with the classroom's O2 + 3.76 N2 [g/mol]."""

AIR_FOUR_GASES_GPMOL: Final = (
    0.2095 * 2 * _OXYGEN_GPMOL
    + 0.7808 * 2 * _NITROGEN_GPMOL
    + 0.0093 * 39.95
    + 0.0004 * (_CARBON_GPMOL + 2 * _OXYGEN_GPMOL)
) / 0.2095
"""The same with argon and carbon dioxide counted, as the handbooks' 15.13 and 9.00 do [g/mol]."""


def stoichiometric_afr(
    carbon: ArrayLike, hydrogen: ArrayLike, oxygen: ArrayLike, air_gpmol: ArrayLike = AIR_TWO_GASES_GPMOL
) -> FloatArray:
    """Air-fuel ratio by mass that burns a fuel completely and leaves no oxygen.

    Parameters
    ----------
    carbon, hydrogen, oxygen : array_like
        Atoms of each in one molecule, or their averages [-].
    air_gpmol : array_like
        Mass of air that brings one mole of oxygen [g/mol]; one of the `AIR_.._GPMOL`.

    Returns
    -------
    ndarray, broadcast shape
        Air-fuel ratio [kg/kg].

    Raises
    ------
    ValueError
        On a negative number of atoms, or a molecule that holds more oxygen than it can burn.

    References
    ----------
    Heywood, Internal Combustion Engine Fundamentals (1988), eq. 3.6:
    C_x H_y O_z + (x + y/4 - z/2) O2 -> x CO2 + y/2 H2O.
    """
    fuel_gpmol = _molar_mass_gpmol(carbon, hydrogen, oxygen)
    oxygen_moles = floats(carbon) + floats(hydrogen) / 4.0 - floats(oxygen) / 2.0
    return positive("oxygen needed", oxygen_moles) * positive("air_gpmol", air_gpmol) / fuel_gpmol


def heating_value_jpkg(
    carbon: ArrayLike, hydrogen: ArrayLike, oxygen: ArrayLike, heat_of_formation_jpmol: ArrayLike
) -> FloatArray:
    """Lower heating value of a liquid fuel at 25 °C: the water leaves as steam.

    Parameters
    ----------
    carbon, hydrogen, oxygen : array_like
        Atoms of each in one molecule [-].
    heat_of_formation_jpmol : array_like
        Heat of formation of the liquid at 25 °C, negative for most fuels [J/mol].

    Returns
    -------
    ndarray, broadcast shape
        Lower heating value [J/kg].

    Raises
    ------
    ValueError
        On a negative number of atoms.

    References
    ----------
    Hess's law; products from CODATA key values for thermodynamics (1989).
    """
    products_jpmol = floats(carbon) * _CARBON_DIOXIDE_JPMOL + 0.5 * floats(hydrogen) * _STEAM_JPMOL
    released_jpmol = floats(heat_of_formation_jpmol) - products_jpmol
    return 1000.0 * released_jpmol / _molar_mass_gpmol(carbon, hydrogen, oxygen)


def fuel_flow_kgps(air_flow_kgps: ArrayLike, stoichiometric_afr: ArrayLike, lambda_: ArrayLike) -> FloatArray:
    """Fuel that goes with an air flow.

    Parameters
    ----------
    air_flow_kgps : array_like
        Air into the cylinders [kg/s].
    stoichiometric_afr : array_like
        Of the fuel in the tank [kg/kg].
    lambda_ : array_like
        Air-fuel ratio over the stoichiometric one [-]; below 1 is rich.

    Returns
    -------
    ndarray, broadcast shape
        Fuel flow [kg/s].

    Raises
    ------
    ValueError
        On a negative air flow, or a ratio of zero or less.

    References
    ----------
    Definition of lambda.
    """
    afr = positive("stoichiometric_afr", stoichiometric_afr) * positive("lambda_", lambda_)
    return not_negative("air_flow_kgps", air_flow_kgps) / afr


def fuel_flow_for_power_kgps(power_w: ArrayLike, specific_consumption_gpkwh: ArrayLike) -> FloatArray:
    """Fuel that a brake power asks for.

    Parameters
    ----------
    power_w : array_like
        Brake power [W].
    specific_consumption_gpkwh : array_like
        Brake specific fuel consumption [g/(kW h)]; rich full load takes 300 to 360 on gasoline (common practice).

    Returns
    -------
    ndarray, broadcast shape
        Fuel flow [kg/s].

    Raises
    ------
    ValueError
        On a negative power, or a consumption of zero or less.

    References
    ----------
    Definition of brake specific fuel consumption, Heywood (1988), section 2.8.
    """
    kg_per_joule = positive("specific_consumption_gpkwh", specific_consumption_gpkwh) / 1000.0 / 3.6e6
    return not_negative("power_w", power_w) * kg_per_joule


def brake_efficiency(specific_consumption_gpkwh: ArrayLike, heating_value_jpkg: ArrayLike) -> FloatArray:
    """Part of the fuel's heat that leaves as work at the crankshaft.

    Parameters
    ----------
    specific_consumption_gpkwh : array_like
        Brake specific fuel consumption [g/(kW h)].
    heating_value_jpkg : array_like
        Lower heating value of the fuel [J/kg].

    Returns
    -------
    ndarray, broadcast shape
        Efficiency [0..1].

    Raises
    ------
    ValueError
        On an argument of zero or less.

    References
    ----------
    Heywood (1988), section 2.8.
    """
    kg_per_joule = positive("specific_consumption_gpkwh", specific_consumption_gpkwh) / 1000.0 / 3.6e6
    return 1.0 / (kg_per_joule * positive("heating_value_jpkg", heating_value_jpkg))


def _molar_mass_gpmol(carbon: ArrayLike, hydrogen: ArrayLike, oxygen: ArrayLike) -> FloatArray:
    return (
        not_negative("carbon", carbon) * _CARBON_GPMOL
        + not_negative("hydrogen", hydrogen) * _HYDROGEN_GPMOL
        + not_negative("oxygen", oxygen) * _OXYGEN_GPMOL
    )
