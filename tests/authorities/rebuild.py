"""Make the outside answers anew that the tests cannot compute themselves.

`fastsim` 3.1.0 brings its own versions of numpy and pandas, so it lives in an environment of its own:

    python -m venv somewhere && somewhere/bin/pip install fastsim==3.1.0
    somewhere/bin/python tests/authorities/rebuild.py

It writes `fastsim.json` beside this file: what the national laboratory's vehicle model answers for the first vehicle of
its own resources, driven flat out. The model has no test of acceleration, so it is given a trace that no vehicle
follows. Vehicles are named by their index only.
"""

import json
from importlib.metadata import version
from pathlib import Path

import fastsim
import numpy as np

QUARTER_MILE_M = 402.336
SIXTY_MPH_MPS = 60 * 0.44704
STEPS_S = (1.0, 0.2, 0.1)  # at 0.05 s its solver no longer converges: 0-60 mph jumps from 8.59 to 9.95 s


def flat_out(vehicle: object, step_s: float) -> dict[str, float]:
    """0-60 mph and quarter mile of a vehicle that chases an unreachable trace."""
    time_s = np.arange(0.0, 40.0 + step_s, step_s)
    cycle = fastsim.Cycle.from_dict(
        {
            "name": "flat out",
            "time_seconds": time_s.tolist(),
            "speed_meters_per_second": np.minimum(15.0 * time_s, 45.0).tolist(),
            "grade": np.zeros(time_s.size).tolist(),
        }
    )
    drive = fastsim.SimDrive(vehicle, cycle).to_dict()
    drive["sim_params"]["trace_miss_opts"] = "Allow"
    drive = fastsim.SimDrive.from_dict(drive)
    drive.run()
    history = drive.to_dict()["veh"]["history"]
    speed = np.array(history["speed_ach_meters_per_second"])
    # Its own distance takes each step at the speed of the step's end, half a step too far: count the mean instead.
    distance_m = np.concatenate([[0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1]) * step_s)])
    return {
        "step_s": step_s,
        "sixty_mph_s": float(np.interp(SIXTY_MPH_MPS, speed, time_s)),
        "quarter_mile_s": float(np.interp(QUARTER_MILE_M, distance_m, time_s)),
        "quarter_mile_mps": float(np.interp(QUARTER_MILE_M, distance_m, speed)),
    }


if __name__ == "__main__":
    vehicle = fastsim.Vehicle.from_resource(fastsim.Vehicle.list_resources()[0])
    answers = {
        "origin": f"fastsim {version('fastsim')}, vehicle 0 of its resources, by rebuild.py",
        "runs": [flat_out(vehicle, step_s) for step_s in STEPS_S],
    }
    Path(__file__).with_name("fastsim.json").write_text(json.dumps(answers, indent=1) + "\n", encoding="utf-8")
