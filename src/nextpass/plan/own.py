"""What the owner's own adjusters did, told from passes with different values of them.

The simulation knows nothing of a charge spray or a damper setting. What the fitted car explains of each pass (setup,
air, grip of the day) is taken out of its ET; what is left is compared between passes with one value and with another.
Two groups with a known scatter of a single pass: the usual two-sample interval with sigma known.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import sqrt

import numpy as np

from nextpass.car import MODELLED, AdjusterValue, Car, Setup
from nextpass.measure import Estimate
from nextpass.plan.plan import OwnEffect

# The sign is in no doubt when the gain is this many times its ±: about one chance in 200 for an adjuster that does
# nothing, since every one of several is looked at.
CLEAR = 1.6


def own_effects(
    car: Car, setups: Sequence[Setup], left_s: Sequence[float], scatter_sd_s: float
) -> tuple[OwnEffect, ...]:
    """Effects of the owner's own switches, choices and numbers.

    Parameters
    ----------
    car : Car
        For its adjusters.
    setups : sequence of Setup
        Of the passes, oldest first.
    left_s : sequence of float
        ET of each pass less what the fitted car gives for it [s]; nan where the pass has none.
    scatter_sd_s : float
        Standard deviation of a single pass about the fitted car [s].

    Returns
    -------
    tuple of OwnEffect
        For each value other than the newest that passes were run with.
    """
    found: list[OwnEffect] = []
    left = np.asarray(left_s, dtype=np.float64)
    for name, adjuster in car.adjusters.items():
        if name in MODELLED or adjuster.kind == "momentary" or adjuster.per_gear:
            continue
        values = [setup.values[name] for setup in setups]
        now = values[-1]
        for other in dict.fromkeys(value for value in values if value != now):
            with_now = left[[value == now for value in values] & np.isfinite(left)]
            with_other = left[[value == other for value in values] & np.isfinite(left)]
            if not len(with_now) or not len(with_other):
                continue
            gain = Estimate.from_sd(
                float(with_now.mean() - with_other.mean()),
                scatter_sd_s * sqrt(1.0 / len(with_now) + 1.0 / len(with_other)),
            )
            clear = abs(gain.value) > CLEAR * gain.plus_minus
            found.append(OwnEffect(adjuster=name, before=now, after=other, gain_s=gain, is_clear=clear))
    return tuple(found)


def with_clear_gains(setup: Setup, effects: Sequence[OwnEffect]) -> Setup:
    """The setup with every own adjuster moved whose effect is clear and a gain."""
    moves: Mapping[str, AdjusterValue] = {
        effect.adjuster: effect.after
        for effect in sorted(effects, key=lambda effect: effect.gain_s.value)
        if effect.is_clear and effect.gain_s.value > 0.0
    }
    return replace(setup, values={**setup.values, **moves})
