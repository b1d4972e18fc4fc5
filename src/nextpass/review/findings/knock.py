"""Did the engine knock, at which engine speed and pressure, and was ignition pulled for another reason?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.log import Log
from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded

FloatArray = NDArray[np.float64]

RETARD, ADVANCE = "knock_retard_deg", "ignition_advance_deg"
# Cells in which knock is gathered.
CELL_RPM, CELL_KPA = 500.0, 20.0
# Bursts in which ignition is taken out lie closer together than this.
BURSTS_S = 0.2
# A pass needs this many pulling samples before one part of its ignition can be judged by the rest.
LEAST_SAMPLES = 60


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Knock by cell of engine speed and pressure; ignition pulled without knock.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    return (*_knock(evidence), *_ignition_pulled(evidence))


def retard_channels(log: Log) -> tuple[str, ...]:
    """Names of the channels of knock retard that a log has: of the engine, or one a cylinder."""
    return tuple(sorted(name for name in log.channels if name.startswith("knock_retard")))


def _retard(evidence: Evidence) -> tuple[FloatArray, tuple[str, ...]] | None:
    """Greatest retard of any cylinder on the shared clock."""
    names = retard_channels(evidence.log)
    series = [values for name in names if (values := evidence.series(name)) is not None]
    return (np.asarray(np.fmax.reduce(series)), names) if series else None


def _knock(evidence: Evidence) -> list[Finding]:
    known = _retard(evidence)
    if known is None:
        return []
    retard, names = known
    limits, guard = evidence.limits, evidence.car.guards.knock_retard_deg
    powered = evidence.between(evidence.motion.moved_s, evidence.lift_s)
    with np.errstate(invalid="ignore"):
        events = evidence.stretches(powered & (retard >= limits["knock_watch_deg"]), limits["knock_s"])
    if not events:
        return []
    worst = max(events, key=lambda stretch: float(np.nanmax(retard[stretch.samples])))
    most = float(np.nanmax(retard[worst.samples]))
    severity = Severity.WATCH
    if most >= limits["knock_act"] * guard:
        severity = Severity.STOP if most > guard else Severity.ACT
    figures = {
        "knock_retard_deg_max": most,
        "knock_retard_guard_deg": guard,
        "knock_events": float(len(events)),
        "knock_s": sum(event.end_s - event.start_s for event in events),
        **_cell(evidence, worst.first + int(np.nanargmax(retard[worst.samples]))),
    }
    gear = evidence.gear_of(worst)
    return [worded("knock", severity, worst.start_s, worst.end_s, names, figures, gear=gear)]


def _cell(evidence: Evidence, index: int) -> dict[str, float]:
    """The cell of engine speed and pressure that a sample lies in, and the charge temperature there."""
    cell: dict[str, float] = {}
    if evidence.trace is not None:
        cell["engine_rpm_cell"] = CELL_RPM * float(np.floor(evidence.trace.engine_rpm[index] / CELL_RPM))
    pressure = evidence.series("manifold_pressure_kpa")
    if pressure is not None and np.isfinite(pressure[index]):
        cell["manifold_pressure_kpa_cell"] = CELL_KPA * float(np.floor(pressure[index] / CELL_KPA))
    charge = evidence.series("charge_temperature_c")
    if charge is not None and np.isfinite(charge[index]):
        cell["charge_temperature_c"] = float(charge[index])
    return cell


def _ignition_pulled(evidence: Evidence) -> list[Finding]:
    """Ignition that lies below what the rest of the pass has at like engine speed and pressure, without knock."""
    advance, pressure = evidence.series(ADVANCE), evidence.series("manifold_pressure_kpa")
    if advance is None or pressure is None or evidence.trace is None:
        return []
    use = evidence.is_pulling & np.isfinite(advance) & np.isfinite(pressure)
    if np.count_nonzero(use) < LEAST_SAMPLES:
        return []
    known = _retard(evidence)
    restored = advance if known is None else advance + np.nan_to_num(known[0])
    below = _expected(evidence.trace.engine_rpm, pressure, restored, use) - restored
    # A slip control takes it in bursts, as wheels and driveline swing: what a mean loses is what the car lost.
    lost = evidence.smoothed(below, BURSTS_S, use)
    stretches = evidence.stretches(
        use & (lost > evidence.limits["ignition_pulled_deg"]), evidence.limits["ignition_pulled_s"]
    )
    if not stretches:
        return []
    worst = max(stretches, key=lambda stretch: float(np.max(below[stretch.samples])))
    figures = {
        "ignition_pulled_deg": float(np.max(below[worst.samples])),
        "ignition_pulled_s": sum(stretch.end_s - stretch.start_s for stretch in stretches),
        "ignition_advance_deg_min": float(np.min(advance[worst.samples])),
    }
    span = (worst.start_s, worst.end_s)
    channels = (ADVANCE, "charge_temperature_c")
    return [worded("ignition-pulled", Severity.WATCH, *span, channels, figures, gear=evidence.gear_of(worst))]


def _expected(rpm: FloatArray, pressure: FloatArray, advance: FloatArray, use: np.ndarray) -> FloatArray:
    """Advance as a plane-and-bend in engine speed and pressure, through the upper half of what the pass shows."""
    columns = np.stack([np.ones(rpm.size), rpm / 1000.0, (rpm / 1000.0) ** 2, pressure / 100.0], axis=1)
    weight = use.astype(np.float64)
    fitted = np.zeros(rpm.size)
    for _ in range(8):
        root = np.sqrt(weight)[:, None]
        solution, *_ = np.linalg.lstsq(columns[use] * root[use], advance[use] * root[use, 0], rcond=None)
        fitted = columns @ solution
        # Asymmetric weights: ignition is pulled down, never up, so that what lies low counts little.
        weight = np.where(advance < fitted - 0.5, 0.1, 1.0)
    return np.asarray(fitted)
