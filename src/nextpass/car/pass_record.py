"""One pass as its folder describes it, before the log is read."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from nextpass.car.conditions import Conditions
from nextpass.car.setup import Setup
from nextpass.car.strip_clocks import StripClocks


@dataclass(frozen=True, slots=True, kw_only=True)
class PassRecord:
    """What `pass.toml` holds.

    Parameters
    ----------
    folder : Path
        Where it was read; the logs lie beside it.
    number : int or None
        The driver's count on the day.
    started : datetime or None
        With its zone where the file gives one.
    logs : tuple of Path
        One log, or several of the same pass that must be aligned.
    notes : str
        The driver's own words.
    clocks : StripClocks or None
        The strip's timeslip.
    strip, lane : str
        Where it was run; empty where the file does not say.
    """

    folder: Path
    number: int | None
    started: datetime | None
    logs: tuple[Path, ...]
    notes: str
    conditions: Conditions
    setup: Setup
    clocks: StripClocks | None
    strip: str = ""
    lane: str = ""
