"""Readings that loggers write for "no value", taken for it only where they lie far from all other readings."""

from dataclasses import replace

import numpy as np

from nextpass.log.column import Column

# The ends of whole numbers of 8, 16 and 32 bits, and what people type.
SENTINELS = (255.0, 65535.0, 32767.0, -32768.0, 4294967295.0, -999.0, -9999.0, 9999.0, 999.0, 99999.0, -1.0e9, 1.0e9)


def without_sentinels(column: Column) -> tuple[Column, tuple[float, ...]]:
    """The column without such readings, and which they are.

    A ramp that ends at 255 has no sign for "no value", and neither has a switch between 0 and 255.
    """
    ends = [value for value in (column.low, column.high) if value in SENTINELS]
    inner = column.values[~np.isin(column.values, ends)]
    if not ends or inner.size == 0 or inner.min() == inner.max():
        return column, ()
    span = float(np.ptp(inner)) + abs(float(np.median(inner)))
    blank = tuple(value for value in ends if min(abs(value - inner.min()), abs(value - inner.max())) > max(span, 1.0))
    if not blank:
        return column, ()
    keep = ~np.isin(column.values, blank)
    kept = column.values[keep]
    seen = replace(column, values=kept, time_s=column.time_s[keep], low=float(kept.min()), high=float(kept.max()))
    return seen, blank
