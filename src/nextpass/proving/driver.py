"""The driver of a pass and what chance does with it: staging, reaction, the lift, and the drawing of the day's luck.

What is drawn is relative to the car's own spread, from one seed, in a fixed order, so that the same seed with another
setup has the same luck: differences between setups are then those of the setups.
"""

from dataclasses import dataclass

import numpy as np

from nextpass.proving.truth import TrueSpread


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """Habits of the driver.

    Parameters
    ----------
    hold_s : float
        Time on the pedal before the release [s].
    lift_after_m : float
        Distance past the line at which the throttle is lifted, negative before it [m].
    lift_at_m, lift_at_s : float
        An aborted pass: the throttle is lifted at a distance [m], or a time after the release [s].
    coast_s : float
        From the lift to the brakes [s].
    brakes_s : float
        On the brakes before the log ends [s].
    coasts_in_neutral : bool
        Out of gear on the coast-down, else the engine brakes.
    waits_s : float
        Idling before the pedal goes down, seen in the log [s].
    """

    hold_s: float = 1.6
    lift_after_m: float = 8.0
    lift_at_m: float = float("inf")
    lift_at_s: float = float("inf")
    coast_s: float = 6.0
    brakes_s: float = 3.0
    coasts_in_neutral: bool = True
    waits_s: float = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Luck:
    """What chance gave one pass: factors around 1 unless the unit is named.

    `slow_shift` is the gear left by a slow upshift, 0 for none; `rollout_m` the travel from staging to the clock.
    """

    grip: float
    launch_ramp: float
    launch_torque: float
    turbo: float
    torque: float
    knock_onset: float
    shift_time: float
    reaction_s: float
    rollout_m: float
    lift_m: float
    gust_phase: float
    slow_shift: int


def draw_luck(spread: TrueSpread, slow_shift_chance: float, gears: int, seed: int) -> Luck:
    """Luck of one pass.

    Parameters
    ----------
    spread : TrueSpread
        Standard deviations of this car.
    slow_shift_chance : float
        Probability that one of the upshifts is slow.
    gears : int
        Forward gears of the car.
    seed : int
        Same seed, same luck.

    Returns
    -------
    Luck
    """
    rng = np.random.default_rng([seed, 7001])
    z = np.clip(rng.standard_normal(9), -2.5, 2.5)
    chance, which, phase, lift = rng.random(4)
    return Luck(
        grip=1.0 + spread.grip * z[0],
        launch_ramp=1.0 + spread.launch_ramp * z[1],
        launch_torque=1.0 + spread.launch_torque * z[2],
        turbo=1.0 + spread.turbo * z[3],
        torque=1.0 + spread.torque * z[4],
        knock_onset=1.0 + spread.knock_onset * z[5],
        shift_time=1.0 + spread.shift_time * z[6],
        reaction_s=abs(spread.reaction_s * z[7]),
        rollout_m=0.3048 + spread.staging_m * z[8],
        lift_m=15.0 * float(lift),
        gust_phase=2.0 * np.pi * float(phase),
        slow_shift=1 + int(which * (gears - 1)) if chance < slow_shift_chance else 0,
    )


def no_luck() -> Luck:
    """The mean pass: every factor at 1, no slow shift, one foot of rollout."""
    return Luck(
        grip=1.0,
        launch_ramp=1.0,
        launch_torque=1.0,
        turbo=1.0,
        torque=1.0,
        knock_onset=1.0,
        shift_time=1.0,
        reaction_s=0.0,
        rollout_m=0.3048,
        lift_m=5.0,
        gust_phase=0.0,
        slow_shift=0,
    )
