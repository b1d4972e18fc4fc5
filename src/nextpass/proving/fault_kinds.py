"""What can be wrong with a car or its driver, as changes of the constants of one pass, by strength 1 to 3.

Strength 1 is what a careful eye could miss, 3 what nobody overlooks. A kind touches only its cause; what follows
from it (pressure missing, mixture lean, time lost) is the model's. `clean` is the same pass without the fault.
"""

from collections.abc import Callable
from typing import Any

from nextpass.proving.outcome import Outcome

Spoil = Callable[[Any, int, Outcome], None]
"""Changes the constants of a pass in place: (record of `CONSTANTS`, strength, clean pass)."""


def _by(strength: int, *values: float) -> float:
    return values[strength - 1]


def _middle_gear(clean: Outcome) -> int:
    """Index of the upshift that is spoilt: the second where the pass has it."""
    return 1 if clean.trace["gear"].max() > 2 else 0


def slippery_start(c: Any, strength: int, _clean: Outcome) -> None:
    """A start line that was not prepared, or cold tyres: the whole track grips less."""
    c.grip *= _by(strength, 0.85, 0.75, 0.65)


def bog(c: Any, strength: int, _clean: Outcome) -> None:
    """The clutch bites far past the engine's torque and drags it down."""
    c.launch_overshoot = _by(strength, 0.5, 1.2, 2.5)
    c.launch_ramp_s = 0.08
    c.slip_gain_nms = 0.5


def launch_hunting(c: Any, strength: int, _clean: Outcome) -> None:
    """Launch speed not held: it swings about its target."""
    c.launch_hunting_radps = _by(strength, 15.0, 30.0, 50.0)


def slow_release(c: Any, strength: int, _clean: Outcome) -> None:
    """The clutch takes its time to bite and to carry."""
    c.launch_ramp_s *= _by(strength, 2.5, 4.0, 6.0)
    c.bite_delay_s += _by(strength, 0.05, 0.10, 0.15)


def clutch_slip(c: Any, strength: int, clean: Outcome) -> None:
    """Packs that cannot hold the engine's torque any more."""
    peak_nm = float(clean.trace["engine_nm"].max())
    c.capacity_nm[:] = peak_nm * _by(strength, 0.93, 0.86, 0.78)


def slow_shift(c: Any, strength: int, clean: Outcome) -> None:
    """One upshift takes several times as long as the others."""
    c.shift_stretch[_middle_gear(clean)] *= _by(strength, 2.2, 3.2, 4.5)


def shift_flare(c: Any, strength: int, clean: Outcome) -> None:
    """At one upshift the on-coming pack is late and the engine runs up."""
    c.flare_s[_middle_gear(clean)] = _by(strength, 0.06, 0.11, 0.18)


def pressure_overshoot(c: Any, strength: int, _clean: Outcome) -> None:
    """A wastegate control that opens too late."""
    c.wastegate_lead_s = 0.0
    c.wastegate_lag_s *= _by(strength, 1.6, 2.2, 3.0)
    c.wastegate_integral_ppas *= 0.5
    c.base_map = _by(strength, 1.06, 1.10, 1.15)


def pressure_oscillation(c: Any, strength: int, _clean: Outcome) -> None:
    """A wastegate control with too much gain, which never settles."""
    c.wastegate_lead_s = 0.0
    c.wastegate_gain_ppa *= _by(strength, 2.5, 3.5, 5.0)
    c.wastegate_lag_s *= 1.4
    # Without the throttle's help it swings on.
    c.throttle_gain_ppas = 0.0


def charge_leak(c: Any, strength: int, _clean: Outcome) -> None:
    """A hole in the charge pipes: flow lost in proportion to the pressure over ambient."""
    c.leak_kgpspa = _by(strength, 0.20, 0.45, 0.90) * c.reference_flow_kgps / 100e3


def wastegate_stuck_open(c: Any, strength: int, _clean: Outcome) -> None:
    """A wastegate that does not shut: a weak spring, a bent arm, a split hose."""
    c.wastegate_seat = _by(strength, 0.20, 0.30, 0.42)


def wastegate_creep(c: Any, strength: int, _clean: Outcome) -> None:
    """A wastegate too small for the flow: the pressure climbs with engine speed, the throttle has to help."""
    c.wastegate_limit = _by(strength, 0.24, 0.17, 0.10)


def slow_rise(c: Any, strength: int, _clean: Outcome) -> None:
    """A turbocharger that spins up lazily: heavy or dragging rotor."""
    c.reference_energy_j *= _by(strength, 1.8, 3.0, 5.0)


def bad_fuel(c: Any, strength: int, clean: Outcome) -> None:
    """Fuel that knocks under the pressure that is run."""
    peak_pa = float(clean.trace["manifold_pa"].max())
    c.onset_pa = min(c.onset_pa, peak_pa * _by(strength, 0.97, 0.90, 0.82))


def lean(c: Any, strength: int, _clean: Outcome) -> None:
    """Less fuel than asked for on both banks: a wrong sensor scale, a dirty air meter."""
    c.air_error *= _by(strength, 0.88, 0.83, 0.78)


def rich(c: Any, strength: int, _clean: Outcome) -> None:
    """More fuel than asked for on both banks."""
    c.air_error *= _by(strength, 1.13, 1.19, 1.26)


def banks_apart(c: Any, strength: int, _clean: Outcome) -> None:
    """One bank gets less than the other: a clogged injector or an air leak on its side."""
    c.bank_1_flow *= _by(strength, 1.05, 1.08, 1.11)
    c.bank_2_flow *= _by(strength, 0.95, 0.92, 0.89)


def injectors_small(c: Any, strength: int, clean: Outcome) -> None:
    """Injectors that run out of time: the duty that was left is gone."""
    duty = max(clean.guards.injector_duty, 0.2)
    c.injector_m3ps *= duty / _by(strength, 0.94, 1.02, 1.12)


def second_pump_dead(c: Any, strength: int, clean: Outcome) -> None:
    """The second pump stays off, and the first has that little in hand."""
    flow = float((clean.trace["fuel_kgps"] / c.fuel_density_kgpm3).max())
    c.second_pump_on = 0.0
    c.pump_1_m3ps = flow * _by(strength, 0.97, 0.88, 0.78)
    c.pump_2_m3ps = 0.5 * c.pump_1_m3ps


def pumps_weak(c: Any, strength: int, clean: Outcome) -> None:
    """All pumps worn or their filter blocked: less flow than the engine takes."""
    flow = float((clean.trace["fuel_kgps"] / c.fuel_density_kgpm3).max())
    have = c.pump_1_m3ps + c.pump_2_m3ps
    share = flow * _by(strength, 0.97, 0.88, 0.78) / have
    c.pump_1_m3ps *= share
    c.pump_2_m3ps *= share


def heat_soak(c: Any, strength: int, _clean: Outcome) -> None:
    """A charge cooler that was still hot from the pass before."""
    c.core_k += _by(strength, 20.0, 32.0, 45.0)


def cooler_blocked(c: Any, strength: int, _clean: Outcome) -> None:
    """A charge cooler without air or full of oil."""
    c.intercooler *= _by(strength, 0.80, 0.66, 0.52)
    c.core_moving_jpkpm *= 0.5


def throttle_closed(c: Any, strength: int, _clean: Outcome) -> None:
    """The control unit keeps the throttle partly shut at full pedal."""
    c.throttle_limit = _by(strength, 0.60, 0.48, 0.36)


def late_shift(c: Any, strength: int, _clean: Outcome) -> None:
    """Upshifts called too late, the rev limiter close above: it is hit before the gearbox acts."""
    c.shift_lead_s = _by(strength, -0.05, -0.10, -0.18)
    c.rev_limit_radps = min(c.rev_limit_radps, c.shift_radps + 6.0)


def coolant_hot(c: Any, strength: int, _clean: Outcome) -> None:
    """Coolant that started hot and climbs: little water, no fan, a closed thermostat."""
    c.start_coolant_k += _by(strength, 12.0, 18.0, 26.0)
    c.coolant_wpk *= 0.1
    c.coolant_jpk *= 0.35


def oil_hot(c: Any, strength: int, _clean: Outcome) -> None:
    """Engine oil without its cooler."""
    c.start_oil_k += _by(strength, 28.0, 38.0, 48.0)


def gearbox_oil_hot(c: Any, strength: int, clean: Outcome) -> None:
    """Gearbox oil hot from the passes before: just under the car's limit, over it, far over it."""
    limit_k = clean.car.believed.guards.gearbox_oil_c + 273.15
    c.start_box_oil_k = limit_k + _by(strength, -4.0, 3.0, 12.0)


def battery_sag(c: Any, strength: int, _clean: Outcome) -> None:
    """A charging system that cannot carry pumps and coils."""
    c.alternator_v = _by(strength, 12.9, 12.3, 11.7)
    c.voltage_drop_v = _by(strength, 0.8, 1.2, 1.8)


def misfire(c: Any, strength: int, clean: Outcome) -> None:
    """Spark blown out under pressure: plug gap or coils."""
    c.misfire = _by(strength, 0.06, 0.12, 0.20)
    c.misfire_pa = 0.85 * float(clean.trace["manifold_pa"].max())


def car_cut(c: Any, strength: int, _clean: Outcome) -> None:
    """The car's own slip control left on, tight: it takes torque and throttle."""
    c.slip_cut = _by(strength, 0.045, 0.03, 0.02)
    c.slip_cut_gain = 14.0


def dragging_brake(c: Any, strength: int, _clean: Outcome) -> None:
    """Brakes or bearings that drag: rolling resistance many times its due."""
    c.rolling *= _by(strength, 1.8, 2.6, 3.6)


def early_lift(c: Any, strength: int, _clean: Outcome) -> None:
    """The driver lifts before the line."""
    c.lift_distance_m = 402.336 - _by(strength, 40.0, 90.0, 160.0)
