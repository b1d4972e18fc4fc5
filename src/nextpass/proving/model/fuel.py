"""Fuel: what the mixture asks for, what injectors and pumps can give, the rail between them, and the trims.

Flow of an injector goes with the root of the pressure over it, duty has the opening time on top; the rail loses
pressure as soon as the injectors take more than the pumps give at that pressure. The regulator is referenced to the
manifold, so that the pump works against rail plus manifold pressure.
"""

from typing import Any

from nextpass.proving.model.compiled import compiled

MIXTURE_LAG_S = 0.04
SECOND_PUMP_AT = 0.72
"""Share of the first pump's flow at which the second is switched on, off again at 0.85 of it."""


@compiled
def injector_m3ps(c: Any, rail_pa: float) -> float:
    """Static flow of all injectors together [m3/s]; held to `nextpass.physics` by a test."""
    return float(c.injector_count * c.injector_m3ps * (max(rail_pa, 1.0) / c.rated_rail_pa) ** 0.5)


@compiled
def pumps(c: Any, s: Any, taken_m3ps: float, dt: float) -> None:
    """Rail pressure after one step: pumps by their voltage and back pressure, regulator, injectors."""
    against_pa = s.rail_pa + s.manifold_pa - c.ambient_pa
    droop = 1.0 - c.pump_droop * (against_pa - c.rated_rail_pa) / c.rated_rail_pa
    strength = max(droop, 0.0) * s.battery_v / 13.5
    demand = taken_m3ps / max(c.pump_1_m3ps * strength, 1e-9)
    if demand > SECOND_PUMP_AT and c.second_pump_on > 0.5:
        s.second_pump = 1.0
    elif demand < 0.85 * SECOND_PUMP_AT:
        s.second_pump = 0.0
    given_m3ps = (c.pump_1_m3ps + s.second_pump * c.pump_2_m3ps) * strength
    s.pump_duty = min(1.0, max(0.2, 1.15 * demand if s.second_pump < 0.5 else 1.0))
    s.rail_pa += dt * (given_m3ps - taken_m3ps) / c.rail_m3ppa
    s.rail_pa = min(max(s.rail_pa, 0.2 * c.rail_target_pa), c.rail_target_pa)


@compiled
def mixture(c: Any, s: Any, dt: float) -> None:
    """Mixture of both banks, injector duty, trims and battery voltage after one step."""
    load = min(max((s.manifold_pa - 0.75 * c.ambient_pa) / (0.2 * c.ambient_pa), 0.0), 1.0) if s.pedal > 0.5 else 0.0
    s.lambda_target = 1.0 + load * (c.wot_lambda - 1.0)
    # Fuel follows the air that burns: a cut by spark keeps the fuel on.
    wanted_kgps = s.air_kgps * c.air_error / (c.stoichiometric_afr * s.lambda_target)
    static_kgps = injector_m3ps(c, s.rail_pa) * c.fuel_density_kgpm3
    dead = c.dead_time_s * s.engine_radps / (4.0 * 3.141592653589793)
    duty = wanted_kgps / static_kgps * (1.0 + 0.5 * (s.trim_1 + s.trim_2)) + dead
    s.duty = min(duty, 1.0)
    given_kgps = static_kgps * max(s.duty - dead, 0.0)
    s.fuel_kgps = given_kgps
    pumps(c, s, given_kgps / c.fuel_density_kgpm3, dt)
    full = s.air_kgps / c.stoichiometric_afr
    spread = 0.5 * (s.trim_1 - s.trim_2)
    for bank in range(2):
        flow = c.bank_1_flow * (1.0 + c.learned_1) if bank == 0 else c.bank_2_flow * (1.0 + c.learned_2)
        flow *= 1.0 + (spread if bank == 0 else -spread)
        now = full / max(given_kgps * flow, 1e-9)
        now = min(max(now, 0.6), 1.6)
        before = s.lambda_1 if bank == 0 else s.lambda_2
        after = before + dt * (now - before) / MIXTURE_LAG_S
        trim = s.trim_1 if bank == 0 else s.trim_2
        trim += dt * c.trim_gain * (after / s.lambda_target - 1.0)
        trim = min(max(trim, -c.trim_limit), c.trim_limit)
        if bank == 0:
            s.lambda_1 = after
            s.trim_1 = trim
        else:
            s.lambda_2 = after
            s.trim_2 = trim
    load_v = c.voltage_drop_v * (0.5 * s.pump_duty + 0.5 * s.second_pump)
    s.battery_v += dt * (c.alternator_v - load_v - s.battery_v) / 0.15
