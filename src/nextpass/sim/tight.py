"""The same pass by a general integrator: what the compiled step is held against, in tests and benchmarks.

The right-hand side is the kernel's own `rates`; stepping, step control, events and clocks are scipy's. A stiff method
at a tight tolerance costs about a thousand times a compiled pass, so nothing but a check calls this.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.sim import kernel as k

FloatArray = NDArray[np.float64]

LONGEST_S = 60.0
_BEAMS_M = {"t60ft_s": 18.288, "t330ft_s": 100.584, "t660ft_s": 201.168, "t1000ft_s": 304.8, "et_s": 402.336}
_TRAP_START_M, _TRAP_END_M = 382.2192, 402.336


def drive_tightly(packed: FloatArray, relative_tolerance: float = 1e-9) -> dict[str, float]:
    """Clocks of one pass by `scipy.integrate.solve_ivp`.

    Parameters
    ----------
    packed : ndarray, shape (row,)
        From `pack`.
    relative_tolerance : float
        Of the states; the absolute one is a thousandth of it in base SI [-].

    Returns
    -------
    dict of str to float
        Times from the rollout [s] and `trap_mps`, by the names of `OUTPUTS`, and `clutch_energy_j`.
    """
    from scipy.integrate import solve_ivp  # slow to import, and only checks need it

    memory, by = np.zeros(2), np.empty(k.BY_PRODUCTS)
    y, dy = np.empty(k.STATES), np.empty(k.STATES)
    k.start(packed, y)
    phase, gear, stretches = k.LAUNCH, 0, []
    while True:

        def slope(_time_s: float, state: FloatArray, phase: int = phase, gear: int = gear) -> FloatArray:
            k.rates(packed, memory, phase, gear, state, dy, by)
            return dy

        def ending(which: int, phase: int = phase, gear: int = gear) -> Any:
            def margin(_time_s: float, state: FloatArray) -> float:
                k.rates(packed, memory, phase, gear, state, dy, by)
                return float(k.margins(packed, phase, gear, by)[which])

            margin.terminal, margin.direction = True, -1.0  # type: ignore[attr-defined]
            return margin

        def finished(_time_s: float, state: FloatArray) -> float:
            return float(packed[k.FINISH] - state[k.TRAVEL])

        finished.terminal = True  # type: ignore[attr-defined]
        part = solve_ivp(
            slope,
            (y[k.SINCE], LONGEST_S),
            y,
            method="LSODA",  # slip makes the equations stiff, on and off
            rtol=relative_tolerance,
            atol=1e-3 * relative_tolerance * _SCALE,
            events=[ending(0), ending(1), finished],
            dense_output=True,
            max_step=0.05,
        )
        stretches.append(part.sol)
        y = part.y[:, -1].copy()
        if part.status != 1 or y[k.TRAVEL] >= packed[k.FINISH] - 1e-6:
            break
        k.rates(packed, memory, phase, gear, y, dy, by)
        phase, gear = k.next_phase(packed, memory, phase, gear, y, by)
        k.rates(packed, memory, phase, gear, y, dy, by)
        if k.margins(packed, phase, gear, by)[1] < 0.0 and phase == k.LOCKED:
            # Overwhelmed as it closes: no sign would change.
            phase, gear = k.next_phase(packed, memory, phase, gear, y, by)
    return _clocks(packed, stretches, y)


# Size of each state, so that one tolerance serves all: travel, speed, wheels, engine, pressure and its rate, charge
# sensor, intercooler, load and its rate, heat, time.
_SCALE = np.array([1.0, 1.0, 1.0, 1.0, 1.0, 1e5, 1e5, 100.0, 10.0, 1e3, 1e4, 1e5, 1.0])


def _clocks(packed: FloatArray, stretches: list[Any], last: FloatArray) -> dict[str, float]:
    times = np.concatenate([np.linspace(part.t_min, part.t_max, 4001)[:-1] for part in stretches])
    travel = np.concatenate([part(np.linspace(part.t_min, part.t_max, 4001)[:-1])[k.TRAVEL] for part in stretches])
    times, travel = np.append(times, last[k.SINCE]), np.append(travel, last[k.TRAVEL])

    def reached(distance_m: float) -> float:
        return float(np.interp(distance_m, travel, times))

    rolled = reached(packed[k.ROLLOUT])
    clocks = {name: reached(beam) - rolled for name, beam in _BEAMS_M.items()}
    clocks["trap_mps"] = (_TRAP_END_M - _TRAP_START_M) / (reached(_TRAP_END_M) - reached(_TRAP_START_M))
    clocks["clutch_energy_j"] = float(last[k.CLUTCH_HEAT])
    return clocks
