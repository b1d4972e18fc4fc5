"""What differs between two setups, one adjuster or gear at a time, and what each difference is worth alone and why."""

from dataclasses import dataclass

import numpy as np

from nextpass.car import (
    FUEL,
    GEAR_PRESSURE_CAP,
    LAUNCH_PRESSURE,
    LAUNCH_RPM,
    SHIFT_RPM,
    AdjusterValue,
    Setup,
)
from nextpass.plan.expected import FloatArray, Scenarios, elapsed_s, figure
from nextpass.plan.guards import first_crossed
from nextpass.plan.plan import Change
from nextpass.plan.trust import Trust
from nextpass.words import Phrase, phrase

# Slip past the peak for this long in a gear, as the mean over the scenarios, is worth a word [s].
SPIN_S = 0.15
# Less than this is not told as a gain or a loss [s]: it would be written as 0.00 s.
UNTOLD_S = 5e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One adjuster whose value differs, or its value for one gear (counted from 1)."""

    adjuster: str
    gear: int | None
    before: AdjusterValue
    after: AdjusterValue

    def applied_to(self, setup: Setup) -> Setup:
        """A setup with this one value moved."""
        if self.gear is None:
            return setup.with_values(**{self.adjuster: self.after})
        held = setup.values[self.adjuster]
        if not isinstance(held, tuple) or not isinstance(self.after, int | float):
            raise TypeError(f"{self.adjuster} holds {held!r}, not one value a gear")
        return setup.with_values(**{self.adjuster: (*held[: self.gear - 1], self.after, *held[self.gear :])})


def moved_between(before: Setup, after: Setup) -> tuple[Moved, ...]:
    """Every adjuster and gear in which two setups differ, in the order of the car file."""
    found: list[Moved] = []
    for name, new in after.values.items():
        old = before.values[name]
        if isinstance(old, tuple) and isinstance(new, tuple):
            found += [
                Moved(adjuster=name, gear=gear, before=a, after=b)
                for gear, (a, b) in enumerate(zip(old, new, strict=True), start=1)
                if a != b
            ]
        elif old != new:
            found.append(Moved(adjuster=name, gear=None, before=old, after=new))
    return tuple(found)


def changes_between(scenarios: Scenarios, trust: Trust, newest: Setup, setup: Setup) -> tuple[Change, ...]:
    """The changes from the newest setup, the one that is worth most alone first.

    Parameters
    ----------
    scenarios : Scenarios
        Versions of the car on the day to come.
    trust : Trust
        How far they may be believed.
    newest, setup : Setup
        Where the changes start, and where they end.

    Returns
    -------
    tuple of Change
        `gain_s` is the expected time of the newest setup less that of the newest setup with this change alone [s].
    """
    moves = moved_between(newest, setup)
    if not moves:
        return ()
    outputs = scenarios.drive([newest, setup, *(move.applied_to(newest) for move in moves)])
    times = elapsed_s(outputs).mean(axis=0)
    crossed = first_crossed(outputs[:, 0], newest, trust, scenarios.car.guards)
    changes = [
        Change(
            adjuster=move.adjuster,
            gear=move.gear,
            before=move.before,
            after=move.after,
            gain_s=float(times[0] - times[2 + i]),
            why=_why(move, outputs[:, 0], outputs[:, 1], crossed),
        )
        for i, move in enumerate(moves)
    ]
    return tuple(sorted(changes, key=lambda change: -change.gain_s))


def _why(move: Moved, before: FloatArray, after: FloatArray, crossed: str | None) -> Phrase:
    """Why one value moves, from what the newest setup and the plan show over the scenarios."""
    if move.adjuster == GEAR_PRESSURE_CAP:
        return _why_cap(move, before, crossed)
    if move.adjuster in (LAUNCH_RPM, LAUNCH_PRESSURE):
        return _why_launch(move, before, after)
    if move.adjuster == SHIFT_RPM:
        return phrase("plan.why.shift_later" if _rises(move) else "plan.why.shift_earlier")
    if move.adjuster == FUEL:
        return phrase("plan.why.fuel", fuel=str(move.after))
    return phrase("plan.why.own")


def _rises(move: Moved) -> bool:
    return isinstance(move.after, int | float) and isinstance(move.before, int | float) and move.after > move.before


def _why_cap(move: Moved, before: FloatArray, crossed: str | None) -> Phrase:
    spin_s = float(np.nanmean(np.nan_to_num(figure(before, f"gear{move.gear}_spin_s"))))
    if _rises(move):
        use = float(np.mean(np.nan_to_num(figure(before, f"gear{move.gear}_grip_use"))))
        if spin_s > SPIN_S:
            return phrase("plan.why.cap_up_after_launch", gear=move.gear)
        return phrase("plan.why.cap_up", gear=move.gear, percent=f"{100.0 * use:.0f}")
    if spin_s > SPIN_S:
        return phrase("plan.why.cap_down_spin", gear=move.gear, seconds=f"{spin_s:.1f}")
    if crossed is not None:
        return phrase("plan.why.down_guard", guard=phrase(f"guard.{crossed}"))
    return phrase("plan.why.cap_down_free", gear=move.gear)


def _why_launch(move: Moved, before: FloatArray, after: FloatArray) -> Phrase:
    gain_s = float(np.nanmean(figure(before, "t60ft_s")) - np.nanmean(figure(after, "t60ft_s")))
    spin_s = float(np.mean(np.nan_to_num(figure(before, "gear1_spin_s"))))
    if _rises(move):
        if gain_s < UNTOLD_S:
            return phrase("plan.why.launch_harder_even")
        return phrase("plan.why.launch_harder", gain=f"{gain_s:.2f}")
    if spin_s > SPIN_S:
        return phrase("plan.why.launch_softer_spin", seconds=f"{spin_s:.1f}")
    return phrase("plan.why.launch_softer")
