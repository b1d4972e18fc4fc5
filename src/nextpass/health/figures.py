"""What the ledger keeps of one pass: a few figures, so that a season needs no log to be opened again."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from nextpass.car import Car
from nextpass.health.launches import Launch, launch_of
from nextpass.health.residency import Residency, residency_of
from nextpass.health.wear import wear_figures
from nextpass.review import ReviewedPass, Severity, evidence_of

LIMITS: Final = frozenset(
    {
        "clutch-heat",
        "clutch-slip",
        "over-fuel-limit",
        "injector-duty",
        "injector-static",
        "rail-sag",
        "knock",
        "lean",
        "coolant-hot",
        "oil-hot",
        "gearbox-hot",
        "charge-hot",
        "rev-limiter",
        "battery-low",
    }
)
"""Findings that say that a limit was passed, where they are grave enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitPassed:
    """A limit of the car that a pass went over, and when on the log's clock [s]."""

    code: str
    severity: Severity
    title: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PassFigures:
    """One pass in the ledger.

    Parameters
    ----------
    name : str
        Of its folder.
    fuel : str
    air_temperature_c : float
        Of the day [°C].
    launch : Launch or None
        None where the log shows no motion.
    residency : tuple of Residency
        Time of each oil in its bands.
    limits_passed : tuple of LimitPassed
    wear : Mapping[str, float]
        Figures of `wear_figures`.
    """

    name: str
    number: int | None
    started: datetime | None
    fuel: str
    air_temperature_c: float
    launch: Launch | None
    residency: tuple[Residency, ...]
    limits_passed: tuple[LimitPassed, ...]
    wear: Mapping[str, float]


def figures_of(car: Car, reviewed: ReviewedPass) -> PassFigures:
    """What the ledger keeps of a pass.

    Parameters
    ----------
    car : Car
    reviewed : ReviewedPass
    """
    record, evidence = reviewed.record, evidence_of(car, reviewed)
    return PassFigures(
        name=record.folder.name,
        number=record.number,
        started=record.started,
        fuel=record.setup.fuel,
        air_temperature_c=record.conditions.air_temperature_c,
        launch=None if evidence is None else launch_of(car, evidence),
        residency=residency_of(reviewed.log),
        limits_passed=tuple(
            LimitPassed(
                code=finding.code,
                severity=finding.severity,
                title=finding.title,
                start_s=finding.start_s,
                end_s=finding.end_s,
            )
            for finding in reviewed.review.findings
            if finding.code in LIMITS and finding.severity in (Severity.STOP, Severity.ACT)
        ),
        wear={} if evidence is None else wear_figures(car, evidence),
    )
