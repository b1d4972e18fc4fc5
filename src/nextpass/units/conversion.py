"""One reading in another unit of its quantity."""

import math

import numpy as np

from nextpass.errors import UnitError
from nextpass.units.unit import Unit, nearest_unit, read_unit
from nextpass.words import phrase


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """The same reading in another unit of its quantity.

    Parameters
    ----------
    value : float
        In `from_unit`.
    from_unit, to_unit : str
        As people write them, of one quantity; from gauge to absolute pressure takes a barometer.

    Returns
    -------
    float
        In `to_unit`.

    Raises
    ------
    UnitError
        A unit is not known, or the two do not convert into each other.
    """
    for source in _known(from_unit):
        for target in _known(to_unit):
            if source.quantity == target.quantity and {source.reference, target.reference} != {"absolute", "gauge"}:
                if source.is_inverse or target.is_inverse or math.isnan(source.scale * target.scale):
                    break
                return _rescaled(value + source.offset / source.scale, source.scale, target)
    raise UnitError(
        phrase("refusal.units.no_conversion", from_unit=from_unit, to_unit=to_unit),
        remedy=phrase("refusal.units.one_quantity"),
    )


def _rescaled(value: float, scale: float, target: Unit) -> float:
    # Dividing by 100 gives 0.57 of 57; multiplying by 0.01, which no binary fraction is, gives a hair more.
    whole = value * _decimal(scale / target.scale) if scale >= target.scale else value / _decimal(target.scale / scale)
    return whole - target.offset / target.scale


def _decimal(factor: float) -> float:
    """3.6 where two divisions have left 3.5999999999999996."""
    nearest = round(factor, 9)
    return nearest if math.isclose(factor, nearest, rel_tol=4.0 * np.finfo(np.float64).eps) else factor


def _known(text: str) -> tuple[Unit, ...]:
    units = read_unit(text)
    if not units:
        near = nearest_unit(text)
        remedy = phrase("refusal.common.meant", near=near.name) if near else phrase("refusal.units.such_as")
        raise UnitError(phrase("refusal.units.unknown", text=text), remedy=remedy)
    return units
