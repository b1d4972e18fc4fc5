"""From reviewed passes and a few settings to the forecast of that setup."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from nextpass.car import Car, Setup, checked_setup
from nextpass.errors import SettingError, Where
from nextpass.files import read_conditions
from nextpass.fit import fit_car
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import review_folders
from nextpass.plan import Forecast, what_if
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """A setup and what one pass at it should show."""

    setup: Setup
    forecast: Forecast


def what_if_folders(
    car_file: Path,
    folders: Sequence[Path],
    settings: Sequence[str],
    conditions_file: Path | None = None,
    report: ProgressReport = silent,
) -> WhatIf:
    """Forecast the newest setup with some settings changed.

    Parameters
    ----------
    settings : sequence of str
        Each ``name=value``, or ``name.gear=value`` for one gear.

    Raises
    ------
    SettingError
        A setting that cannot be dialled in.
    """
    car, passes = review_folders(car_file, folders, part(report, 0.0, 0.4))
    setup = changed_setup(car, passes[-1].record.setup, settings)
    conditions = passes[-1].record.conditions if conditions_file is None else read_conditions(conditions_file)
    report("fitting the car to its passes", 0.4)
    fitted = fit_car(car, passes)
    report("running the setup", 0.9)
    return WhatIf(setup=setup, forecast=what_if(car, fitted, setup, conditions))


def changed_setup(car: Car, newest: Setup, settings: Sequence[str]) -> Setup:
    """A setup with some settings changed, each ``name=value`` or ``name.gear=value``, all of them checked.

    Raises
    ------
    SettingError
        A setting that is not of that form, or that cannot be dialled in on this car.
    """
    values: dict[str, object] = dict(newest.values)
    for setting in settings:
        name, equals, text = setting.partition("=")
        if not equals:
            raise SettingError(
                phrase("refusal.jobs.not_name_value"), Where(key=setting), phrase("refusal.jobs.write_name_value")
            )
        name, _, gear = name.strip().partition(".")
        adjuster = car.adjusters.get(name)
        if gear:
            if adjuster is None or not adjuster.per_gear:
                raise SettingError(
                    phrase("refusal.setting.no_value_a_gear"),
                    Where(key=name),
                    phrase("refusal.jobs.write_pair", name=name, value=text.strip()),
                )
            values[name] = _with_gear(values[name], name, gear, _parsed(text))
        elif adjuster is not None and adjuster.per_gear:
            values[name] = [_parsed(one) for one in text.split(",")]
        else:
            values[name] = _parsed(text)
    return checked_setup(car, values)


def _with_gear(value: object, name: str, gear: str, changed: object) -> list[object]:
    values = list(value) if isinstance(value, list | tuple) else []
    if not gear.isdecimal() or not 1 <= int(gear) <= len(values):
        raise SettingError(
            phrase("refusal.setting.no_gear", gear=gear),
            Where(key=name),
            phrase("refusal.setting.name_gear", count=len(values)),
        )
    values[int(gear) - 1] = changed
    return values


def _parsed(text: str) -> object:
    text = text.strip()
    switches = {"on": True, "true": True, "off": False, "false": False}
    if text.lower() in switches:
        return switches[text.lower()]
    try:
        return float(text)
    except ValueError:
        return text
