"""What each launch put into the clutch, how hot it got, and how much of the pack's life that is.

Heat comes from the logged clutch torque, else from the torque that the car's own acceleration asks for (`review`). The
peak is the oil at the launch and the lumped rise of one launch; the faces are hotter for tenths of a second. Wear of
a friction pair goes with the work of friction (Archard), and faster where the oil film and the lining get hot; how
much faster is common practice, as is the number of launches that a pack bears. The share is there to compare launches
with one another: it is no promise.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from nextpass.car import Car
from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics import clutch
from nextpass.review import Evidence
from nextpass.review.findings import launch_heat_j
from nextpass.words import phrase

LAUNCHES_AT_GUARD: Final = 300.0
"""Launches at the heat of its guard, none hotter than `HOT_FROM_C`, that a pack is taken to bear (common practice)."""
HOT_FROM_C: Final = 150.0
DOUBLES_PER_K: Final = 40.0
"""Above this peak wear doubles with so many kelvins (common practice for paper linings in oil)."""

# By log: the torque channel's own error and the lag of speeds; by motion: mass, losses and tyre slip besides.
_LOGGED_SHARE, _BY_MOTION_SHARE = 0.08, 0.20


@dataclass(frozen=True, slots=True, kw_only=True)
class Launch:
    """One launch.

    Parameters
    ----------
    launch_rpm : float
        As it was set [rpm].
    energy_j : Estimate or Absent
        Heat that went into the clutch [J].
    rise_k : Estimate or Absent
        Lumped rise of the pack by it [K].
    oil_c : Estimate or Absent
        Gearbox oil at the launch [°C].
    peak_c : Estimate or Absent
        Of the pack: logged, else oil and rise [°C].
    life_share : Estimate or Absent
        Part of the pack's stated life that this launch took [0..1].
    """

    launch_rpm: float
    energy_j: Measured
    rise_k: Measured
    oil_c: Measured
    peak_c: Measured
    life_share: Measured


def launch_of(car: Car, evidence: Evidence) -> Launch:
    """The launch of one pass.

    Parameters
    ----------
    car : Car
        For the pack's heat capacity and guard.
    evidence : Evidence
        Of the pass.
    """
    energy = _energy_j(evidence)
    oil = _oil_c(evidence)
    rise: Measured
    if isinstance(energy, Estimate):
        rise = Estimate(
            value=float(clutch.temperature_rise_k(energy.value, car.clutch.heat_capacity_j_per_k)),
            plus_minus=float(clutch.temperature_rise_k(energy.plus_minus, car.clutch.heat_capacity_j_per_k)),
        )
    else:
        rise = energy
    peak = _peak_c(evidence, oil, rise)
    return Launch(
        launch_rpm=evidence.record.setup.launch_rpm,
        energy_j=energy,
        rise_k=rise,
        oil_c=oil,
        peak_c=peak,
        life_share=_life_share(car, energy, peak),
    )


def _energy_j(evidence: Evidence) -> Measured:
    launch = next((phase for phase in evidence.phases if phase.kind == "launch"), None)
    if launch is None or not evidence.motion.from_rest:
        return Absent(reason=phrase("ledger.absent.no_launch"))
    heat_j = launch_heat_j(evidence, launch)
    if not math.isfinite(heat_j):
        return Absent(reason=phrase("ledger.absent.no_engine_speed"))
    share = _LOGGED_SHARE if "clutch_torque_nm" in evidence.log else _BY_MOTION_SHARE
    return Estimate(value=heat_j, plus_minus=share * heat_j)


def _oil_c(evidence: Evidence) -> Measured:
    values = evidence.series("gearbox_oil_temperature_c")
    moved = evidence.between(evidence.motion.moved_s - 2.0, evidence.motion.moved_s + 0.2)
    if values is None or not np.isfinite(values[moved]).any():
        return Absent(reason=phrase("ledger.absent.no_gearbox_oil"))
    return Estimate(value=float(np.nanmedian(values[moved])), plus_minus=1.0)


def _peak_c(evidence: Evidence, oil: Measured, rise: Measured) -> Measured:
    logged = [evidence.series(name) for name in ("clutch_a_temperature_c", "clutch_b_temperature_c")]
    known = [float(np.nanmax(values)) for values in logged if values is not None]
    if known:
        return Estimate(value=max(known), plus_minus=2.0)
    if isinstance(oil, Absent):
        return oil
    if isinstance(rise, Absent):
        return rise
    return Estimate(value=oil.value + rise.value, plus_minus=math.hypot(oil.plus_minus, rise.plus_minus))


def _life_share(car: Car, energy: Measured, peak: Measured) -> Measured:
    """Energy over the stated budget; without a peak temperature the launch counts as a cool one."""
    if isinstance(energy, Absent):
        return energy
    budget_j = LAUNCHES_AT_GUARD * car.guards.clutch_energy_j
    over_k = max(peak.value - HOT_FROM_C, 0.0) if isinstance(peak, Estimate) else 0.0
    factor = 2.0 ** (over_k / DOUBLES_PER_K) / budget_j
    return Estimate(value=factor * energy.value, plus_minus=factor * energy.plus_minus)
