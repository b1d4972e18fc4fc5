"""Figures as a language writes them: decimal comma or point, a true minus sign."""

import math

_DECIMAL_MARK = {"en": ".", "de": ","}
# Shown in place of a figure that is not there; the reason stands beside it.
NO_FIGURE = "–"


def number(value: float, decimals: int = 0, language: str = "en") -> str:
    """Figure with a fixed count of decimals.

    Parameters
    ----------
    value : float
        Any unit; nan and infinities give a dash.
    decimals : int
        Places after the decimal mark.
    language : str
        One of `LANGUAGES`.

    Returns
    -------
    str
        With the language's decimal mark, without separators of thousands.
    """
    if not math.isfinite(value):
        return NO_FIGURE
    # Rounding first keeps a small negative from showing as a minus zero.
    rounded = round(value, decimals) + 0.0
    return with_decimal_mark(f"{rounded:.{decimals}f}", language).replace("-", "\N{MINUS SIGN}")


def with_decimal_mark(figure: str, language: str) -> str:
    """Figure written with a point, with the decimal mark of a language.

    Parameters
    ----------
    figure : str
        One figure and nothing else.
    language : str
        One of `LANGUAGES`.

    Returns
    -------
    str
        The same figure.
    """
    return figure.replace(".", _DECIMAL_MARK[language])


def signed(value: float, decimals: int = 0, language: str = "en") -> str:
    """Figure that says its sign, as a change does.

    Parameters
    ----------
    value : float
        Any unit; nan gives a dash.
    decimals : int
        Places after the decimal mark.
    language : str
        One of `LANGUAGES`.

    Returns
    -------
    str
        With a plus or minus sign; zero carries ±.
    """
    figure = number(value, decimals, language)
    if figure == NO_FIGURE or figure.startswith("\N{MINUS SIGN}"):
        return figure
    return f"±{figure}" if round(value, decimals) == 0 else f"+{figure}"
