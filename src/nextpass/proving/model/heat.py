"""Slow heat: coolant, engine oil, gearbox oil; each one lump that gains from power and loses to the air."""

from typing import Any

from nextpass.proving.model.compiled import compiled


@compiled
def fluids(c: Any, s: Any, dt: float) -> None:
    """Coolant, oil and gearbox oil after one step."""
    power_w = max(s.engine_nm, 0.0) * s.engine_radps
    thermostat_w = c.coolant_wpk * (s.coolant_k - c.coolant_still_k)
    s.coolant_k += dt * (0.35 * power_w - thermostat_w) / c.coolant_jpk
    s.oil_k += dt * (0.08 * power_w - c.oil_wpk * (s.oil_k - s.coolant_k)) / c.oil_jpk
    gears_w = 0.5 * (1.0 - c.efficiency) * power_w
    packs_w = 0.0
    for pack in range(2):
        packs_w += c.pack_heat_jpk * (s.pack_k[pack] - s.box_oil_k) / c.pack_cooling_s
    s.box_oil_k += dt * (gears_w + packs_w - c.box_oil_wpk * (s.box_oil_k - s.coolant_k)) / c.box_oil_jpk
