"""What is in the tank: gasoline and ethanol by volume, and what the blend needs and gives.

The pump states ethanol by volume; air need, heat and latent heat mix by mass. The small contraction on mixing, below
0.5 % of the volume, is left out. What is sold as 85 % holds 51 to 83 % in some markets and seasons (ASTM D5798,
memory): a measured share beats the name of the fuel.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, floats, not_negative, positive, share


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One of the two liquids of a blend.

    Parameters
    ----------
    density_kgpm3 : float
        At 15 °C [kg/m3].
    stoichiometric_afr : float
        Air-fuel ratio by mass [kg/kg].
    heating_value_jpkg : float
        Lower heating value [J/kg].
    latent_heat_jpkg : float
        Heat that evaporates it at 25 °C [J/kg].
    """

    density_kgpm3: float
    stoichiometric_afr: float
    heating_value_jpkg: float
    latent_heat_jpkg: float


GASOLINE = Component(density_kgpm3=745.0, stoichiometric_afr=14.6, heating_value_jpkg=43.2e6, latent_heat_jpkg=350e3)
"""Premium gasoline: density in the middle of EN 228 (720..775), ratio from Heywood (1988), table D.4 (memory), heating
value from the usual 42.7..44 MJ/kg; a real batch differs by 1 % in each."""

ETHANOL = Component(density_kgpm3=794.0, stoichiometric_afr=9.0, heating_value_jpkg=26.8e6, latent_heat_jpkg=920e3)
"""Ethanol: density and latent heat by CoolProp, ratio by Heywood (1988), table D.4 (memory), heating value from its
heat of formation."""


def ethanol_mass_share(ethanol: ArrayLike, gasoline: Component = GASOLINE) -> FloatArray:
    """Ethanol by mass in a blend stated by volume.

    Parameters
    ----------
    ethanol : array_like, any shape
        Ethanol by volume [0..1].
    gasoline : Component
        The other part.

    Returns
    -------
    ndarray, same shape
        Ethanol by mass [0..1].

    Raises
    ------
    ValueError
        On a share outside 0..1.

    References
    ----------
    Mass balance, volumes added.
    """
    ethanol_kg = share("ethanol", ethanol) * ETHANOL.density_kgpm3
    gasoline_kg = (1.0 - floats(ethanol)) * gasoline.density_kgpm3
    return ethanol_kg / (ethanol_kg + gasoline_kg)


def blend_density_kgpm3(ethanol: ArrayLike, gasoline: Component = GASOLINE) -> FloatArray:
    """Density of a blend at 15 °C.

    Parameters
    ----------
    ethanol : array_like, any shape
        Ethanol by volume [0..1].
    gasoline : Component
        The other part.

    Returns
    -------
    ndarray, same shape
        Density [kg/m3].

    Raises
    ------
    ValueError
        On a share outside 0..1.

    References
    ----------
    Volumes added.
    """
    x = share("ethanol", ethanol)
    return x * ETHANOL.density_kgpm3 + (1.0 - x) * gasoline.density_kgpm3


def blend_stoichiometric_afr(ethanol: ArrayLike, gasoline: Component = GASOLINE) -> FloatArray:
    """Stoichiometric air-fuel ratio of a blend.

    Parameters
    ----------
    ethanol : array_like, any shape
        Ethanol by volume [0..1].
    gasoline : Component
        The other part.

    Returns
    -------
    ndarray, same shape
        Air-fuel ratio by mass [kg/kg].

    Raises
    ------
    ValueError
        On a share outside 0..1.

    References
    ----------
    Each part brings its own air need: exact by mass.
    """
    return _by_mass(ethanol, gasoline, ETHANOL.stoichiometric_afr, gasoline.stoichiometric_afr)


def blend_heating_value_jpkg(ethanol: ArrayLike, gasoline: Component = GASOLINE) -> FloatArray:
    """Lower heating value of a blend.

    Parameters
    ----------
    ethanol : array_like, any shape
        Ethanol by volume [0..1].
    gasoline : Component
        The other part.

    Returns
    -------
    ndarray, same shape
        Lower heating value [J/kg].

    Raises
    ------
    ValueError
        On a share outside 0..1.

    References
    ----------
    By mass, the heat of mixing left out.
    """
    return _by_mass(ethanol, gasoline, ETHANOL.heating_value_jpkg, gasoline.heating_value_jpkg)


def blend_latent_heat_jpkg(ethanol: ArrayLike, gasoline: Component = GASOLINE) -> FloatArray:
    """Heat that evaporates a blend.

    Parameters
    ----------
    ethanol : array_like, any shape
        Ethanol by volume [0..1].
    gasoline : Component
        The other part.

    Returns
    -------
    ndarray, same shape
        Latent heat at 25 °C [J/kg].

    Raises
    ------
    ValueError
        On a share outside 0..1.

    References
    ----------
    By mass; the order in which the parts evaporate is left out.
    """
    return _by_mass(ethanol, gasoline, ETHANOL.latent_heat_jpkg, gasoline.latent_heat_jpkg)


def blend_volume_factor(ethanol: ArrayLike, gasoline: Component = GASOLINE) -> FloatArray:
    """Volume of a blend that goes with the same air, against gasoline alone, at the same lambda.

    Parameters
    ----------
    ethanol : array_like, any shape
        Ethanol by volume [0..1].
    gasoline : Component
        The other part.

    Returns
    -------
    ndarray, same shape
        Factor [-]: what injectors and pump must bring more.

    Raises
    ------
    ValueError
        On a share outside 0..1.

    References
    ----------
    Air need by volume of one over the other.
    """
    air_per_m3 = blend_density_kgpm3(ethanol, gasoline) * blend_stoichiometric_afr(ethanol, gasoline)
    return gasoline.density_kgpm3 * gasoline.stoichiometric_afr / air_per_m3


def mixed_ethanol(volumes_l: ArrayLike, ethanol: ArrayLike) -> FloatArray:
    """Ethanol in a tank after several fuels went in.

    Parameters
    ----------
    volumes_l : array_like, shape (n,)
        Volume of each [l].
    ethanol : array_like, shape (n,)
        Ethanol by volume in each [0..1].

    Returns
    -------
    ndarray, scalar
        Ethanol by volume [0..1]; nan for an empty tank.

    Raises
    ------
    ValueError
        On a negative volume, or a share outside 0..1.

    References
    ----------
    Volumes added.
    """
    litres = not_negative("volumes_l", volumes_l)
    total_l = np.sum(litres)
    return np.asarray(np.sum(litres * share("ethanol", ethanol)) / total_l if total_l > 0.0 else np.nan)


def top_up_l(
    left_l: ArrayLike, left_ethanol: ArrayLike, added_ethanol: ArrayLike, wanted_ethanol: ArrayLike
) -> FloatArray:
    """Volume to add so that the tank comes to a wanted share.

    Parameters
    ----------
    left_l : array_like
        What is in the tank [l].
    left_ethanol, added_ethanol, wanted_ethanol : array_like
        Ethanol by volume in the tank, in the fuel that goes in, and wanted [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Volume [l]; nan where the wanted share does not lie between the two fuels, or is that of the added fuel, which
        no top-up reaches while something is left.

    Raises
    ------
    ValueError
        On a negative volume, or a share outside 0..1.

    References
    ----------
    V0 (x - x0) = V2 (x2 - x).
    """
    lacking = share("wanted_ethanol", wanted_ethanol) - share("left_ethanol", left_ethanol)
    surplus = share("added_ethanol", added_ethanol) - floats(wanted_ethanol)
    lacking, surplus = np.broadcast_arrays(lacking, surplus)
    is_between = (lacking * surplus > 0.0) | (lacking == 0.0)
    ratio = np.divide(lacking, surplus, out=np.zeros(lacking.shape), where=(lacking != 0.0) & (surplus != 0.0))
    return np.where(is_between, not_negative("left_l", left_l) * ratio, np.nan)


def drain_l(
    tank_l: ArrayLike,
    left_l: ArrayLike,
    left_ethanol: ArrayLike,
    added_ethanol: ArrayLike,
    wanted_ethanol: ArrayLike,
) -> FloatArray:
    """Volume to drain first, so that filling to the brim comes to a wanted share.

    Parameters
    ----------
    tank_l : array_like
        Volume wanted in the tank at the end [l].
    left_l : array_like
        What is in it now [l].
    left_ethanol, added_ethanol, wanted_ethanol : array_like
        Ethanol by volume in the tank, in the fuel that goes in, and wanted [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Volume to drain [l]; nan where the wanted share does not lie between the two fuels, or where more would have to
        stay than there is.

    Raises
    ------
    ValueError
        On a negative volume, a share outside 0..1, or two fuels alike.

    References
    ----------
    (V0 - Vp) x0 + (V - V0 + Vp) x2 = V x.
    """
    added, left = share("added_ethanol", added_ethanol), share("left_ethanol", left_ethanol)
    if np.any(added == left):
        raise ValueError("added_ethanol and left_ethanol must differ: no mixture of like fuels changes the share")
    stays = (added - share("wanted_ethanol", wanted_ethanol)) / (added - left)
    drained_l = not_negative("left_l", left_l) - positive("tank_l", tank_l) * stays
    return np.where((stays >= 0.0) & (stays <= 1.0) & (drained_l >= 0.0), drained_l, np.nan)


def _by_mass(ethanol: ArrayLike, gasoline: Component, of_ethanol: float, of_gasoline: float) -> FloatArray:
    w = ethanol_mass_share(ethanol, gasoline)
    return w * of_ethanol + (1.0 - w) * of_gasoline
