"""The car before the pass: idling at the line, tyres burnt out, nothing counted yet."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import atmosphere
from nextpass.proving.model import STATE, TALLY


def starting_state(constants: NDArray[Any]) -> NDArray[Any]:
    """The car idling at the line, the pedal about to go down, shape (1,) of `STATE`."""
    c = constants[0]
    state = np.zeros(1, dtype=STATE)
    s = state[0]
    s["gear"] = 1.0
    s["throttle"] = 0.05
    s["torque_fraction"] = 0.2
    s["engine_radps"] = c["idle_radps"]
    s["ratio"] = c["gear_ratio"][:2] * c["final_drive"]
    s["manifold_pa"] = s["seen_pa"] = c["closed_pa"]
    for name in ("charge_pa", "target_pa", "turbine_pa"):
        s[name] = c["ambient_pa"]
    s["turbo_j"] = 0.02 * c["reference_energy_j"]
    s["wastegate"] = s["wastegate_command"] = 1.0
    s["core_k"] = s["charge_k"] = s["compressor_k"] = c["core_k"]
    s["lambda_1"] = s["lambda_2"] = s["lambda_target"] = 1.0
    s["spark_factor"] = s["lambda_factor"] = 1.0
    s["rail_pa"] = c["rail_target_pa"]
    s["battery_v"] = c["alternator_v"]
    for name in ("coolant_k", "oil_k", "box_oil_k"):
        s[name] = c["start_" + name]
    s["pack_k"] = c["start_box_oil_k"]
    front_n = c["front_share"] * c["mass_kg"] * atmosphere.GRAVITY_MPS2
    rear_n = c["mass_kg"] * atmosphere.GRAVITY_MPS2 - front_n
    left = c["left_share"]
    s["load_n"] = [left * front_n, (1.0 - left) * front_n, left * rear_n, (1.0 - left) * rear_n]
    # Burnt out are the driven tyres; the others are as warm as the track.
    warm_k = c["tyre_track_k"] + c["burnout_k"]
    share = c["front_drive_share"]
    front_k = warm_k if share > 0.0 else c["tyre_track_k"]
    rear_k = warm_k if share < 1.0 else c["tyre_track_k"]
    s["tyre_k"] = [front_k, front_k, rear_k, rear_k]
    return state


def empty_tally() -> NDArray[Any]:
    """A tally before the pass, shape (1,) of `TALLY`; crossing times are nan until they happen."""
    tally = np.zeros(1, dtype=TALLY)
    tally["mark_s"] = np.nan
    tally["battery_v"] = 99.0
    return tally
