"""Ground floor: formulas of air, fuel, engine, tyre, road load, clutch and strip, with their sources.

Plain functions, one module an idea, which are the front door: ``from nextpass.physics import air`` and then
``air.density_kgpm3(...)``. Arguments and results carry their unit in the name and broadcast as NumPy's own do; a scalar
comes back as a NumPy scalar or 0-d array. An element outside a formula's proven range becomes nan, the range being a
public constant beside it; what cannot be, such as a negative mass, raises `ValueError`.
"""

from nextpass.physics import (
    air,
    atmosphere,
    blend,
    charge,
    clutch,
    coastdown,
    engine,
    fuel,
    gearing,
    lock_up,
    motion,
    power_to_weight,
    roadload,
    standards,
    strip,
    supply,
    traction,
    tyre,
)

__all__ = [
    "air",
    "atmosphere",
    "blend",
    "charge",
    "clutch",
    "coastdown",
    "engine",
    "fuel",
    "gearing",
    "lock_up",
    "motion",
    "power_to_weight",
    "roadload",
    "standards",
    "strip",
    "supply",
    "traction",
    "tyre",
]
