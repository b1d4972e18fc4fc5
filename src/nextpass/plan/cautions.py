"""What must be said about guards before a plan is dialled in."""

from collections.abc import Sequence

from nextpass.car import Guards
from nextpass.fit import guard_peaks
from nextpass.plan.guards import GUARD_RULES
from nextpass.plan.plan import Forecast
from nextpass.review import ReviewedPass
from nextpass.words import phrase


def cautions_of(
    passes: Sequence[ReviewedPass], forecast: Forecast, repeat: Forecast, guards: Guards
) -> tuple[str, ...]:
    """Sentences on guards that passes crossed, that the last setup would cross, and that no setup keeps.

    Parameters
    ----------
    passes : sequence of ReviewedPass
        Oldest first.
    forecast, repeat : Forecast
        Of the plan and of the last setup.
    guards : Guards

    Returns
    -------
    tuple of str
        Empty where nothing needs to be said.
    """
    said: list[str] = []
    for count, one in enumerate(passes, start=1):
        peaks = guard_peaks(one)
        number = one.record.number or count
        for rule in GUARD_RULES:
            if peaks.get(rule.output, 0.0) > rule.limit(guards):
                said.append(phrase("plan.caution.crossed", number=number, guard=phrase(f"guard.{rule.name}")))
    kept = {margin.name for margin in forecast.guards if margin.ok}
    for margin in repeat.guards:
        if not margin.ok and margin.name in kept:
            said.append(phrase("plan.caution.newest_crosses", guard=phrase(f"guard.{margin.name}")))
    for margin in forecast.guards:
        if not margin.ok:
            said.append(phrase("plan.caution.not_kept", guard=phrase(f"guard.{margin.name}")))
    return tuple(said)
