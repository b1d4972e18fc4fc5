"""What a formula may be asked: the impossible is refused, what lies outside a proven range is blanked.

A negative mass is a fault of the caller and raises `ValueError`. A temperature that a fit has never been held against
is a fact of the data: its element becomes nan, and so does what is computed from it. A nan that comes in stays nan.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def floats(values: ArrayLike) -> FloatArray:
    """Array of double precision.

    Parameters
    ----------
    values : array_like, any shape
        In any unit [-].

    Returns
    -------
    ndarray, same shape
    """
    return np.asarray(values, dtype=np.float64)


def positive(name: str, values: ArrayLike) -> FloatArray:
    """Values of a quantity that cannot be zero or less.

    Parameters
    ----------
    name : str
        The argument's name, for the refusal.
    values : array_like, any shape
        In the unit that the name states [-].

    Returns
    -------
    ndarray, same shape

    Raises
    ------
    ValueError
        On a value of zero or less.
    """
    array = floats(values)
    if np.any(array <= 0.0):
        raise ValueError(f"{name} must be above 0, not {np.nanmin(array):g}")
    return array


def not_negative(name: str, values: ArrayLike) -> FloatArray:
    """Values of a quantity that cannot be less than zero.

    Parameters
    ----------
    name : str
        The argument's name, for the refusal.
    values : array_like, any shape
        In the unit that the name states [-].

    Returns
    -------
    ndarray, same shape

    Raises
    ------
    ValueError
        On a negative value.
    """
    array = floats(values)
    if np.any(array < 0.0):
        raise ValueError(f"{name} must not be below 0, not {np.nanmin(array):g}")
    return array


def share(name: str, values: ArrayLike) -> FloatArray:
    """Values of a part of a whole.

    Parameters
    ----------
    name : str
        The argument's name, for the refusal.
    values : array_like, any shape
        Ratio [0..1].

    Returns
    -------
    ndarray, same shape

    Raises
    ------
    ValueError
        On a value outside 0..1; a percentage is the usual reason.
    """
    array = floats(values)
    if np.any((array < 0.0) | (array > 1.0)):
        raise ValueError(
            f"{name} is a ratio and must lie in 0..1, not {array[(array < 0.0) | (array > 1.0)].flat[0]:g}"
        )
    return array


def within(limits: tuple[float, float], values: ArrayLike) -> FloatArray:
    """Values inside a formula's proven range; nan elsewhere.

    Parameters
    ----------
    limits : tuple of float
        Lowest and highest proven value, both allowed, in the unit of `values` [-].
    values : array_like, any shape
        In any unit [-].

    Returns
    -------
    ndarray, same shape
        nan outside the limits.
    """
    array = floats(values)
    return np.where((array >= limits[0]) & (array <= limits[1]), array, np.nan)
