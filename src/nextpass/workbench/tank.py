"""What is in the tank, and how much of which fuel brings it to the wanted blend?

Volumes add and so does the ethanol in them. The share in the pump's fuel is seldom what the pump says, and it enters
the answer fully: both fuels carry a ±, and a measured share narrows it. Where the tank has no room for the top-up the
sum says how much to drain first, by the rules for fuel vapour.
"""

import math
from collections.abc import Callable
from typing import Final, SupportsFloat

from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics import blend
from nextpass.words import phrase
from nextpass.workbench.worked import Line, WorkedSum, line, worked_out

PUMP_SHARE: Final = 0.04
MEASURED_SHARE: Final = 0.015
"""Half widths of the 90 % intervals of an ethanol share: as the pump states it on an ordinary day, and as a sensor or a
test tube measures it (common practice)."""


def blend_sum(
    tank_l: float, left_l: float, left_ethanol: Estimate, added_ethanol: Estimate, wanted_ethanol: float
) -> WorkedSum:
    """Fuel to add, and to drain first where needed, for a wanted blend.

    Parameters
    ----------
    tank_l : float
        Volume of the tank [l].
    left_l : float
        What is in it [l].
    left_ethanol, added_ethanol : Estimate
        Ethanol by volume in the tank and in the fuel that goes in [0..1]; see `PUMP_SHARE`, `MEASURED_SHARE`.
    wanted_ethanol : float
        [0..1].

    Returns
    -------
    WorkedSum
        Results: drain_l, add_l, blend_ethanol with its ±, blend_stoichiometric_afr, blend_volume_factor.

    Raises
    ------
    ValueError
        On a share outside 0..1, or more fuel in the tank than it holds.

    References
    ----------
    `nextpass.physics.blend`.
    """
    if not 0.0 <= left_l <= tank_l:
        raise ValueError(f"the tank holds {tank_l:g} l, so {left_l:g} l cannot be in it")
    drained_l, added_l = _volumes_l(tank_l, left_l, left_ethanol.value, added_ethanol.value, wanted_ethanol)
    return WorkedSum(
        title=phrase("workbench.title.tank"),
        inputs=(
            line("tank_l", tank_l),
            line("left_l", left_l),
            line("left_ethanol", left_ethanol),
            line("added_ethanol", added_ethanol),
            line("wanted_ethanol", wanted_ethanol),
        ),
        steps=(),
        results=_results(left_l, drained_l, added_l, left_ethanol, added_ethanol),
        cautions=_cautions(drained_l),
    )


def _volumes_l(tank_l: float, left_l: float, left: float, added: float, wanted: float) -> tuple[float, float]:
    """Litres to drain and to add; nan where no mixture of the two fuels comes to the wanted share."""
    added_l = float(blend.top_up_l(left_l, left, added, wanted))
    if math.isnan(added_l) or left_l + added_l <= tank_l:
        return (math.nan if math.isnan(added_l) else 0.0), added_l
    drained_l = float(blend.drain_l(tank_l, left_l, left, added, wanted))
    return drained_l, tank_l - left_l + drained_l


def _results(
    left_l: float, drained_l: float, added_l: float, left_ethanol: Estimate, added_ethanol: Estimate
) -> tuple[Line, ...]:
    if math.isnan(added_l):
        nothing: Measured = Absent(reason=phrase("workbench.absent.blend"))
        names = ("drain_l", "add_l", "blend_ethanol", "blend_stoichiometric_afr", "blend_volume_factor")
        return tuple(line(name, nothing) for name in names)
    stays_l = left_l - drained_l

    def mixed(left: float, added: float) -> float:
        shares = [min(max(share, 0.0), 1.0) for share in (left, added)]
        return float(blend.mixed_ethanol([stays_l, added_l], shares))

    def worked(of_share: Callable[[float], SupportsFloat]) -> Measured:
        return worked_out(
            lambda left, added: of_share(mixed(left, added)), "blend", left=left_ethanol, added=added_ethanol
        )

    ethanol = worked_out(mixed, "blend", left=left_ethanol, added=added_ethanol)
    return (
        line("drain_l", drained_l, "(V0 - Vp) x0 + V2 x2 = V x"),
        line("add_l", added_l, "V2 = V0 (x - x0)/(x2 - x)"),
        line("blend_ethanol", ethanol, "x = (V0 x0 + V2 x2)/(V0 + V2)"),
        line("blend_stoichiometric_afr", worked(blend.blend_stoichiometric_afr), "Heywood 1988, D.4"),
        line("blend_volume_factor", worked(blend.blend_volume_factor), "ρ_g AFR_g/(ρ AFR)"),
    )


def _cautions(drained_l: float) -> tuple[str, ...]:
    said: list[str] = []
    if drained_l > 0.0:
        said.append(phrase("caution.fuel_vapour"))
    return (*said, phrase("workbench.caution.pump_share"), phrase("caution.ethanol_fit"))
