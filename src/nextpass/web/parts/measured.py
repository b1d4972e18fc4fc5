"""Estimates as figures: as many decimals as their ± is worth."""

import math

from nextpass.measure import Estimate
from nextpass.report import Reader
from nextpass.words import keys

_MOST_DECIMALS = 4


def decimals_of(value: float, spread: float) -> int:
    """Decimals for two digits of the ±; where there is none, for four of the figure, without idle noughts.

    Parameters
    ----------
    value, spread : float
        In the unit that is shown.

    Returns
    -------
    int
        Four at most.
    """
    if spread:
        return min(max(0, 1 - math.floor(math.log10(spread))), _MOST_DECIMALS)
    most = min(max(0, 3 - math.floor(math.log10(abs(value)))), _MOST_DECIMALS) if value else 0
    return len(f"{value:.{most}f}".rstrip("0").partition(".")[2])


def measured_text(measured: Estimate, reader: Reader) -> str:
    """An estimate with its ±, without its unit.

    Parameters
    ----------
    measured : Estimate
        In the unit that is shown.
    reader : Reader
        Language.

    Returns
    -------
    str
        Such as ``1742 ±32``.
    """
    decimals = decimals_of(measured.value, abs(measured.plus_minus))
    return f"{reader.number(measured.value, decimals)} ±{reader.number(abs(measured.plus_minus), decimals)}"


def parameter_name(name: str, reader: Reader) -> str:
    """What a parameter of the fitted car is; one of a fuel names it.

    Parameters
    ----------
    name : str
        As a plan has it, such as ``drag_area_m2`` or ``knock_onset_kpa.E60``.
    reader : Reader
        Language.

    Returns
    -------
    str
        The name itself, in words, where there is no text for it.
    """
    parameter, _, fuel = name.partition(".")
    key = f"parameter.{parameter}"
    said = reader.says(key) if key in keys(reader.language) else parameter.replace("_", " ")
    return f"{said}, {fuel}" if fuel else said
