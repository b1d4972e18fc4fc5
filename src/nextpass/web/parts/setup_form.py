"""A setup and conditions as fields, in the reader's units; what comes out is on the car's steps or refused."""

import math
from dataclasses import dataclass, field
from functools import partial
from html import escape

from nicegui import ui

from nextpass.car import GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, Adjuster, Car, Conditions, Setup, checked_setup
from nextpass.errors import SettingError, Where
from nextpass.report import Reader
from nextpass.web.parts.inputs import choice_field, text_field
from nextpass.words import phrase

_PRESSURES = (LAUNCH_PRESSURE, GEAR_PRESSURE_CAP)


@dataclass(slots=True)
class SetupFields:
    """The fields of a setup: what stands in them, by adjuster and gear."""

    car: Car
    reader: Reader
    texts: dict[tuple[str, int], str] = field(default_factory=dict)

    def setup(self) -> Setup:
        """The setup that stands in the fields.

        Raises
        ------
        SettingError
            A field is empty, or holds what cannot be dialled in.
        """
        values = {name: self._value(adjuster) for name, adjuster in self.car.adjusters.items()}
        return checked_setup(self.car, values)

    def _value(self, adjuster: Adjuster) -> object:
        if adjuster.kind in ("switch", "momentary"):
            return self.texts[adjuster.name, 0] == "on"
        if adjuster.kind == "choice":
            return self.texts[adjuster.name, 0]
        if adjuster.per_gear:
            return [self._number(adjuster, gear) for gear in range(self.car.gear_count)]
        return self._number(adjuster, 0)

    def _number(self, adjuster: Adjuster, gear: int) -> float:
        text = self.texts[adjuster.name, gear].strip().replace(",", ".")
        try:
            value = float(text)
        except ValueError as error:
            where = Where(key=adjuster.name if not adjuster.per_gear else f"{adjuster.name}.{gear + 1}")
            what = phrase("setup.no_number", text=text) if text else phrase("setup.empty")
            raise SettingError(what, where, phrase("setup.fill")) from error
        if adjuster.name in _PRESSURES:
            value = self.reader.pressure_kpa(value)
        # A value that the reader's unit rounded is put back on its step; one out of range is left to be refused.
        near = adjuster.on_step(value)
        return near if abs(near - value) <= 0.5 * adjuster.step else value


@dataclass(slots=True)
class ConditionsFields:
    """The fields of the conditions of a pass."""

    reader: Reader
    texts: dict[str, str] = field(default_factory=dict)

    def conditions(self) -> Conditions:
        """The conditions that stand in the fields.

        Raises
        ------
        SettingError
            A field is empty, or holds what no place on earth has.
        """
        air_c, kpa, humidity_pct, track_c = (
            self._number(name, low, high)
            for name, low, high in (
                ("air_temperature_c", -60.0, 70.0),
                ("pressure_kpa", 50.0, 115.0),
                ("humidity_pct", 0.0, 100.0),
                ("track_temperature_c", -60.0, 100.0),
            )
        )
        return Conditions(
            air_temperature_c=air_c, pressure_kpa=kpa, humidity=humidity_pct / 100.0, track_temperature_c=track_c
        )

    def _number(self, name: str, low: float, high: float) -> float:
        text = self.texts[name].strip().replace(",", ".")
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            range_text = f"{self.reader.number(low)} – {self.reader.number(high)}"
            raise SettingError(
                phrase("conditions.not_in_range", name=phrase(f"conditions.{name}"), text=text or "–"),
                remedy=phrase("conditions.range", range=range_text),
            )
        return value


def setup_form(car: Car, reader: Reader, setup: Setup | None) -> SetupFields:
    """Draw the fields of a setup.

    Parameters
    ----------
    car : Car
        Whose adjusters are set.
    reader : Reader
        Language and units.
    setup : Setup or None
        What stands in the fields first; empty fields where there is none.

    Returns
    -------
    SetupFields
        To ask for the setup.
    """
    fields = SetupFields(car=car, reader=reader)
    with ui.element("div").classes("fields"):
        for adjuster in car.adjusters.values():
            if adjuster.per_gear:
                _gear_fields(fields, adjuster, setup)
            else:
                _one_field(fields, adjuster, setup)
    return fields


def conditions_form(reader: Reader, conditions: Conditions | None) -> ConditionsFields:
    """Draw the fields of the conditions of a pass.

    Parameters
    ----------
    reader : Reader
        Language.
    conditions : Conditions or None
        What stands in the fields first; empty fields where there are none.

    Returns
    -------
    ConditionsFields
        To ask for the conditions.
    """
    fields = ConditionsFields(reader=reader)
    known = (
        {}
        if conditions is None
        else {
            "air_temperature_c": conditions.air_temperature_c,
            "pressure_kpa": conditions.pressure_kpa,
            "humidity_pct": conditions.humidity * 100.0,
            "track_temperature_c": conditions.track_temperature_c,
        }
    )
    units = {"air_temperature_c": "°C", "pressure_kpa": "kPa", "humidity_pct": "%", "track_temperature_c": "°C"}
    with ui.element("div").classes("fields"):
        for name, unit in units.items():
            fields.texts[name] = f"{known[name]:g}" if name in known else ""
            text_field(
                reader.says(f"conditions.{name}"),
                fields.texts[name],
                partial(fields.texts.__setitem__, name),
                kind="number",
                unit=unit,
                note=reader.says("conditions.station") if name == "pressure_kpa" else "",
                attributes="step=any inputmode=decimal",
            )
    return fields


def _one_field(fields: SetupFields, adjuster: Adjuster, setup: Setup | None) -> None:
    reader = fields.reader
    value = None if setup is None else setup.values.get(adjuster.name)
    key = (adjuster.name, 0)

    def changed(text: str) -> None:
        fields.texts[key] = text

    label = reader.adjuster_name(adjuster.name)
    if adjuster.kind == "choice":
        fields.texts[key] = str(value) if value is not None else adjuster.values[0]
        choice_field(label, {name: name for name in adjuster.values}, fields.texts[key], changed)
        return
    if adjuster.kind in ("switch", "momentary"):
        fields.texts[key] = "on" if value is True else "off"
        choice_field(
            label, {"off": reader.says("switch.off"), "on": reader.says("switch.on")}, fields.texts[key], changed
        )
        return
    fields.texts[key] = _shown(adjuster, value, reader)
    text_field(
        label,
        fields.texts[key],
        changed,
        kind="number",
        unit=reader.adjuster_unit(adjuster.name),
        attributes="step=any inputmode=decimal",
    )


def _gear_fields(fields: SetupFields, adjuster: Adjuster, setup: Setup | None) -> None:
    reader = fields.reader
    values = None if setup is None else setup.values.get(adjuster.name)
    unit = reader.adjuster_unit(adjuster.name)
    with ui.element("fieldset").classes("gear-fields"):
        ui.html(escape(f"{reader.adjuster_name(adjuster.name)} [{unit}]"), sanitize=False, tag="legend")
        with ui.element("div").classes("gear-row"):
            for gear in range(fields.car.gear_count):
                value = values[gear] if isinstance(values, tuple) else None
                key = (adjuster.name, gear)
                fields.texts[key] = _shown(adjuster, value, reader)
                text_field(
                    str(gear + 1),
                    fields.texts[key],
                    partial(fields.texts.__setitem__, key),
                    kind="number",
                    attributes=f'step=any inputmode=decimal aria-label="{reader.says("gear.nth", gear=gear + 1)}"',
                )


def _shown(adjuster: Adjuster, value: object, reader: Reader) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    if adjuster.name in _PRESSURES:
        decimals = {"bar": 2, "kpa": 0, "psi": 1}[reader.units.pressure]
        return f"{reader.pressure_value(value):.{decimals}f}"
    return f"{value:g}"
