"""What strangers send to the API and what it gives beyond the answers of the contract."""

from datetime import datetime
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from nextpass.answers import Answer, SetupAnswer
from nextpass.car import EntryKind

# Longest of anything that is a name, and of a car file; far beyond what anybody writes.
_LONGEST_NAME = 200
_LONGEST_FILE = 200_000
Name = Annotated[str, Field(min_length=1, max_length=_LONGEST_NAME)]
PlainSetting = bool | float | str | list[float]


class Sent(BaseModel):
    """Something that is sent here: no key that is not known, no infinity."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class CarSent(Sent):
    """A car file."""

    file: Annotated[str, Field(max_length=_LONGEST_FILE)]


class ConditionsSent(Sent):
    """Conditions with the keys and units of a pass file."""

    air_temperature_c: Annotated[float, Field(ge=-60, le=70)]
    pressure_kpa: Annotated[float, Field(ge=50, le=115)]
    humidity_pct: Annotated[float, Field(ge=0, le=100)]
    track_temperature_c: Annotated[float, Field(ge=-60, le=100)]
    slope_pct: Annotated[float, Field(ge=-20, le=20)] = 0.0
    headwind_mps: Annotated[float, Field(ge=-60, le=60)] = 0.0


class WhatIfSent(Sent):
    """Any setup, and the conditions to forecast it for: those of the newest pass where none are sent."""

    setup: Annotated[dict[Name, PlainSetting], Field(max_length=200)]
    conditions: ConditionsSent | None = None


class PassSent(Sent):
    """A dropped log with what its driver says about the pass."""

    dropped: Name
    setup: Annotated[dict[Name, PlainSetting], Field(max_length=200)]
    conditions: ConditionsSent
    number: Annotated[int | None, Field(ge=0, le=100_000)] = None
    started: datetime | None = None
    notes: Annotated[str, Field(max_length=5000)] = ""
    answers: Annotated[dict[Name, Name], Field(max_length=500)] = Field(default_factory=dict)


class DroppedSent(Sent):
    """A dropped log by its token."""

    dropped: Name


class SumSent(Sent):
    """What a sum of the workbench asks for, by name; numbers in the unit of the name."""

    values: Annotated[dict[Name, float | Annotated[str, Field(max_length=_LONGEST_NAME)]], Field(max_length=50)]


class EntrySent(Sent):
    """What was done to a car by hand."""

    when: datetime
    kind: EntryKind
    item: Name
    values: Annotated[dict[Name, float | Name], Field(max_length=100)] = Field(default_factory=dict)
    due_launches: Annotated[float | None, Field(gt=0, le=100_000)] = None
    due_days: Annotated[float | None, Field(gt=0, le=100_000)] = None
    codes: Annotated[list[Name], Field(max_length=100)] = Field(default_factory=list)
    state: Literal["", "before", "after"] = ""
    notes: Annotated[str, Field(max_length=5000)] = ""


class RefusalAnswer(Answer):
    """Why something cannot be answered."""

    what: str
    where: str
    remedy: str


# ISO 8601 with the zone where the pass file gives one: a driver's clock need not have any.
Moment = Annotated[str | None, Field(examples=["2026-05-02T14:10:00+01:00"])]


class CarLine(Answer):
    """A car of the book."""

    name: str
    passes: int
    newest: Moment


class CarAnswer(CarLine):
    """A car with its file in force."""

    file: str


class PassLine(Answer):
    """A pass of the book; `sequence` counts the passes of its car in the order in which they were run."""

    sequence: int
    number: int | None
    started: Moment
    fuel: str
    notes: str
    logs: list[str]


class EntryAnswer(Answer):
    """What was done to a car by hand."""

    when: str
    kind: EntryKind
    item: str
    values: dict[str, float | str]
    due_launches: float | None
    due_days: float | None
    codes: list[str]
    state: str
    notes: str


class DroppedAnswer(Answer):
    """A dropped log that waits to become a pass."""

    dropped: str
    name: str


class QuestionAnswer(Answer):
    """A column that nobody can be sure of; each choice is an answer that fits."""

    column: str
    question: str
    choices: list[str]


class LookedAtAnswer(Answer):
    """What a dropped log holds, before anything is kept."""

    rate_hz: float
    channels: list[str]
    questions: list[QuestionAnswer]
    remarks: list[str]


class TraceLineAnswer(Answer):
    """One channel in a window: places, values (null where the logger left out), and figures of every sample."""

    name: str
    at: list[float]
    values: list[float | None]
    lowest: float | None
    highest: float | None
    mean: float | None


class TracesAnswer(Answer):
    """A window of channels over seconds or metres since the car began to move."""

    along: Literal["time", "distance"]
    start: float
    end: float
    lines: list[TraceLineAnswer]


class ValuesAnswer(Answer):
    """The newest true sample of each channel at a place."""

    at: float
    values: dict[str, float | None]


class TakenAnswer(Answer):
    """The setup that is dialled in for the next pass, and the pass file to put beside its log."""

    setup: SetupAnswer
    pass_file: str
