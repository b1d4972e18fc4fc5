"""The truth of one pass: clocks by the contract, guard figures, seconds of slip by gear, and the trace behind them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Conditions, Setup, StripClocks
from nextpass.physics import air, clutch, strip
from nextpass.proving.driver import Driver, Luck
from nextpass.proving.truth import ProvingCar

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardFigures:
    """Extremes from release to line or lift, in the units of `Guards`; energy of the launch and of the whole pass."""

    injector_duty: float
    knock_retard_deg: float
    wot_lambda: float
    clutch_energy_j: float
    all_clutch_energy_j: float
    gearbox_oil_c: float
    charge_air_c: float
    rail_pressure_drop: float
    peak_pressure_kpa: tuple[float, ...]
    coolant_c: float
    oil_c: float
    clutch_c: float
    battery_v: float
    peak_rpm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a pass truly was.

    Parameters
    ----------
    clocks : StripClocks
        One foot of rollout, by the contract; None where the pass did not get there under power or at all.
    strip_clocks : StripClocks
        As the strip's beams saw it: this pass's own rollout, read to the thousandth.
    guards : GuardFigures
        Extremes until the throttle was lifted.
    spin_s, past_peak_s, clutch_slip_s : tuple of float
        By gear: seconds with a driven wheel over 20 % slip, past the slip of its greatest pull, and with the clutch
        of the gear slipping after it had closed [s].
    tally : Mapping[str, float]
        Further figures of the tally by name, in base SI, among them the energies of the balance.
    trace : Mapping[str, ndarray]
        The true states by their names in `model.STATE`, base SI; arrays of one column a wheel or clutch where there
        are several; empty where no trace was asked for.
    """

    car: ProvingCar
    conditions: Conditions
    setup: Setup
    driver: Driver
    luck: Luck
    seed: int
    clocks: StripClocks
    strip_clocks: StripClocks
    release_s: float
    moved_s: float
    guards: GuardFigures
    spin_s: tuple[float, ...]
    past_peak_s: tuple[float, ...]
    clutch_slip_s: tuple[float, ...]
    tally: Mapping[str, float]
    trace: Mapping[str, FloatArray]


def clocks_of(marks_s: FloatArray, rollout_s: float) -> StripClocks:
    """Clocks from the crossing times of `MARKS_M`; nan becomes None.

    Parameters
    ----------
    marks_s : ndarray, shape (8,)
        Crossing times [s], the first that of one foot.
    rollout_s : float
        When the clock started [s].
    """

    def since(mark: int) -> float | None:
        return float(marks_s[mark] - rollout_s) if np.isfinite(marks_s[mark]) else None

    def trap(start: int, end: int) -> float | None:
        return float(strip.TRAP_LENGTH_M / (marks_s[end] - marks_s[start])) if np.isfinite(marks_s[end]) else None

    return StripClocks(
        t60ft_s=since(1),
        t330ft_s=since(2),
        t660ft_s=since(4),
        v660ft_mps=trap(3, 4),
        t1000ft_s=since(5),
        et_s=since(7),
        trap_mps=trap(6, 7),
    )


def guard_figures(y: Any, gears: int) -> GuardFigures:
    """Guard figures from a tally record.

    Parameters
    ----------
    y : record of `TALLY`
    gears : int
        Forward gears.
    """
    return GuardFigures(
        injector_duty=float(y["duty"]),
        knock_retard_deg=float(y["knock_deg"]),
        wot_lambda=float(y["wot_lambda"]),
        clutch_energy_j=float(y["launch_energy_j"]),
        all_clutch_energy_j=float(y["clutch_energy_j"]),
        gearbox_oil_c=float(y["box_oil_k"]) - air.KELVIN,
        charge_air_c=float(y["charge_k"]) - air.KELVIN,
        rail_pressure_drop=float(y["rail_drop"]),
        peak_pressure_kpa=tuple(float(pa) * 1e-3 for pa in y["peak_pa"][:gears]),
        coolant_c=float(y["coolant_k"]) - air.KELVIN,
        oil_c=float(y["oil_k"]) - air.KELVIN,
        clutch_c=float(y["pack_k"]) - air.KELVIN,
        battery_v=float(y["battery_v"]),
        peak_rpm=float(y["engine_radps"]) / clutch.RADPS_PER_RPM,
    )
