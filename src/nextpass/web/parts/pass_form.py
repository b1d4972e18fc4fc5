"""What the driver says of a dropped log: number, time, conditions, setup, the strip's timeslip, doubtful columns."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from html import escape

from nicegui import ui

from nextpass.car import Car, Conditions, Setup, StripClocks
from nextpass.errors import SettingError, Where
from nextpass.jobs import Brought
from nextpass.log import Match
from nextpass.report import STRIP_CLOCKS, Reader
from nextpass.web.parts.inputs import choice_field, text_field, typed_number
from nextpass.web.parts.markup import put
from nextpass.web.parts.setup_form import ConditionsFields, SetupFields, conditions_form, setup_form
from nextpass.web.staging import Staged
from nextpass.words import phrase, translated

_LEAVE_OUT = "-"


@dataclass(slots=True, kw_only=True)
class PassForm:
    """What stands in the fields of one dropped log."""

    staged: Staged
    reader: Reader
    setup: SetupFields
    conditions: ConditionsFields
    texts: dict[str, str]
    clocks: dict[str, str] = field(default_factory=dict)
    answers: dict[str, str] = field(default_factory=dict)

    def brought(self) -> Brought:
        """The log with all that was said.

        Raises
        ------
        SettingError
            A field is empty or holds what cannot be.
        """
        number, started = self.texts["number"].strip(), self.texts["started"].strip()
        return Brought(
            log=self.staged.path,
            name=self.staged.name,
            setup=self.setup.setup(),
            conditions=self.conditions.conditions(),
            number=int(number) if number.isdecimal() else None,
            started=datetime.fromisoformat(started) if started else None,
            notes=self.texts["notes"],
            clocks=self._clocks(),
            answers=self.answers,
        )

    def ask(self, matches: Sequence[Match]) -> None:
        """Draw the questions that the columns raise; what is not answered is left out."""
        reader = self.reader
        put(f"<h4>{escape(reader.says('bring.questions'))}</h4><p>{escape(reader.says('bring.questions_why'))}</p>")
        for match in matches:
            self.answers[match.column] = _LEAVE_OUT
            options = {_LEAVE_OUT: reader.says("bring.leave_out")}
            options |= {choice: choice.replace("_", " ").replace(":", ": ") for choice in match.choices}
            answered = partial(self.answers.__setitem__, match.column)
            question = translated(match.question, reader.language)
            choice_field(f"{match.column}: {question}", options, _LEAVE_OUT, answered)

    def _clocks(self) -> StripClocks | None:
        said = {name: self._clock(name, text) for name, text in self.clocks.items() if text.strip()}
        return StripClocks(**said) if said else None

    def _clock(self, name: str, text: str) -> float:
        try:
            value = typed_number(text)
        except ValueError as error:
            what = phrase("setup.no_number", text=text)
            raise SettingError(what, Where(key=name), phrase("bring.as_on_slip")) from error
        return self.reader.speed_mps(value) if name.endswith("_mps") else value


def pass_form(
    car: Car, reader: Reader, staged: Staged, start: tuple[Setup, Conditions] | None, number: int, started: str
) -> PassForm:
    """Draw the fields of one dropped log.

    Parameters
    ----------
    car : Car
        Whose pass it is.
    reader : Reader
        Language and units.
    staged : Staged
        The log.
    start : tuple of Setup and Conditions, or None
        What the log most likely has; empty fields where nobody can tell.
    number : int
        The driver's count, as far as it can be told.
    started : str
        When the file was last written, as the browser tells it.

    Returns
    -------
    PassForm
        To ask for what was said.
    """
    setup, conditions = start or (None, None)
    texts = {"number": str(number), "started": started, "notes": ""}
    put(f"<h3>{escape(staged.name)}</h3>")
    with ui.element("div").classes("fields"):
        text_field(reader.says("bring.number"), texts["number"], partial(texts.__setitem__, "number"), kind="number")
        put_started = partial(texts.__setitem__, "started")
        text_field(reader.says("bring.started"), started, put_started, kind="datetime-local")
    put(f"<h4>{escape(reader.says('bring.conditions'))}</h4>")
    conditions_fields = conditions_form(reader, conditions)
    with _folded(reader.says("bring.setup" if start else "bring.setup_needed"), is_open=start is None):
        setup_fields = setup_form(car, reader, setup)
    form = PassForm(staged=staged, reader=reader, setup=setup_fields, conditions=conditions_fields, texts=texts)
    with _folded(reader.says("bring.strip")), ui.element("div").classes("fields"):
        for name in STRIP_CLOCKS:
            unit = reader.speed_unit if name.endswith("_mps") else "s"
            put_clock = partial(form.clocks.__setitem__, name)
            text_field(reader.says(f"clock.{name}"), "", put_clock, kind="number", unit=unit, attributes="step=any")
    text_field(reader.says("bring.notes"), "", partial(texts.__setitem__, "notes"))
    return form


def _folded(summary: str, is_open: bool = False) -> ui.element:
    details = ui.element("details").props("open" if is_open else "")
    with details:
        ui.html(escape(summary), sanitize=False, tag="summary")
    return details
