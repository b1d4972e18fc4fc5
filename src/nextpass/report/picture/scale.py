"""A straight scale with round ticks, from values to fractions of a picture."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

_ROUND_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Values from `low` to `high` laid over 0..1, with ticks on round values."""

    low: float
    high: float
    ticks: tuple[float, ...]
    decimals: int

    def at(self, value: float) -> float:
        """Place of a value as a fraction, held to 0..1; nan stays nan."""
        if math.isnan(value):
            return math.nan
        return min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)


def scale_over(values: Iterable[float], tick_count: int = 5, is_snug: bool = False) -> Scale:
    """Scale that holds all finite values.

    Parameters
    ----------
    values : iterable of float
        In any unit; not finite ones are left out.
    tick_count : int
        About how many ticks to draw.
    is_snug : bool
        End at the values themselves; otherwise at the round values beyond them.

    Returns
    -------
    Scale
        From 0 to 1 where there is no finite value.
    """
    finite = [value for value in values if math.isfinite(value)] or [0.0, 1.0]
    low, high = min(finite), max(finite)
    if high - low < 1e-9 * max(1.0, abs(high)):
        low, high = low - 0.5, high + 0.5
    step = _round_step((high - low) / max(tick_count - 1, 1))
    if not is_snug:
        low, high = math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) + (1 if _needs_another_decimal(step) else 0)
    return Scale(low=low, high=high, ticks=tuple(step * count for count in range(first, last + 1)), decimals=decimals)


def _round_step(raw: float) -> float:
    decade = 10.0 ** math.floor(math.log10(raw))
    return next(step for step in _ROUND_STEPS if step * decade >= raw * 0.999) * decade


def _needs_another_decimal(step: float) -> bool:
    # 0.25 and 2.5 show one figure more than their decade does.
    return math.isclose(step / 10.0 ** math.floor(math.log10(step) + 1e-9), 2.5) and step < 10.0
