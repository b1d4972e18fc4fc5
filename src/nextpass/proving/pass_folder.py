"""Write what a driver brings home: a pass folder with its log, and a car folder with the owner's file.

`truth.toml` lies beside the pass for whoever wants to compare; no command reads it.
"""

from datetime import timedelta
from pathlib import Path

from nextpass.car import PassRecord
from nextpass.files import write_car, write_pass
from nextpass.proving.logger import Logger, log_text
from nextpass.proving.outcome import Outcome
from nextpass.proving.truth import ProvingCar

LOG_NAME = "log.csv"


def write_pass_folder(
    outcome: Outcome,
    logger: Logger,
    folder: Path,
    *,
    number: int = 1,
    notes: str = "",
    with_timeslip: bool = False,
    with_truth: bool = False,
    seed: int | None = None,
    text: str | None = None,
    second: Logger | None = None,
) -> Path:
    """A pass folder by the contract.

    Parameters
    ----------
    outcome : Outcome
        With a trace.
    logger : Logger
        That was in the car.
    folder : Path
        Made where it is missing; a pass file in it is replaced.
    number : int
        The driver's count on the day [1].
    notes : str
        The driver's own words.
    with_timeslip : bool
        Whether the driver fetched the strip's clocks.
    with_truth : bool
        Whether `truth.toml` is written beside.
    seed : int, optional
        Draws jitter and noise; the pass's own where it is not given.
    text : str, optional
        Of the log, where something was done to it first.
    second : Logger, optional
        A second box in the car, with a clock of its own; its log lies beside the first.

    Returns
    -------
    Path
        The folder.
    """
    folder.mkdir(parents=True, exist_ok=True)
    log = text if text is not None else log_text(outcome, logger, outcome.seed if seed is None else seed)
    (folder / LOG_NAME).write_text(log, encoding="utf-8")
    logs = [folder / LOG_NAME]
    if second is not None:
        logs.append(folder / "second.csv")
        logs[1].write_text(log_text(outcome, second, outcome.seed + 1), encoding="utf-8")
    record = PassRecord(
        folder=folder,
        number=number,
        started=logger.started + timedelta(minutes=25 * (number - 1)),
        logs=tuple(logs),
        notes=notes,
        conditions=outcome.conditions,
        setup=outcome.setup,
        clocks=outcome.strip_clocks if with_timeslip else None,
    )
    write_pass(folder, record, replace=True)
    if with_truth:
        (folder / "truth.toml").write_text(truth_text(outcome), encoding="utf-8")
    return folder


def write_car_file(car: ProvingCar, path: Path) -> Path:
    """The car file as its owner would write it.

    Parameters
    ----------
    car : ProvingCar
        Its believed part alone is written.
    path : Path
        Replaced where it stands.

    Returns
    -------
    Path
        The file written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    return write_car(path, car.believed, replace=True)


def truth_text(outcome: Outcome) -> str:
    """What the car truly did, in the units of the answers."""
    clocks, guards = outcome.clocks, outcome.guards
    values = {
        "t60ft_s": clocks.t60ft_s,
        "t330ft_s": clocks.t330ft_s,
        "t660ft_s": clocks.t660ft_s,
        "v660ft_kmh": None if clocks.v660ft_mps is None else clocks.v660ft_mps * 3.6,
        "t1000ft_s": clocks.t1000ft_s,
        "et_s": clocks.et_s,
        "trap_kmh": None if clocks.trap_mps is None else clocks.trap_mps * 3.6,
        "clutch_energy_kj": guards.clutch_energy_j * 1e-3,
        "knock_retard_deg": guards.knock_retard_deg,
        "injector_duty_pct": guards.injector_duty * 100.0,
    }
    lines = ["# What the car truly did. For comparison only: no command reads it."]
    lines += [f"{name} = {value:.4f}" for name, value in values.items() if value is not None]
    spin = ", ".join(f"{seconds:.2f}" for seconds in outcome.spin_s)
    lines.append(f"seconds_of_wheel_slip_over_20_pct_by_gear = [{spin}]")
    return "\n".join(lines) + "\n"
