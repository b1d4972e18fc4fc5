"""The pass file: read strictly against its car into a `PassRecord`, each fault with its line and what to write."""

import itertools
import os
from collections.abc import Collection, Mapping
from contextlib import suppress
from pathlib import Path, PureWindowsPath
from typing import Any

from nextpass.car import Car, Conditions, PassRecord, Setup, StripClocks, setting, setting_fault
from nextpass.errors import PassFileError, Where
from nextpass.files.document import load_toml
from nextpass.files.pass_keys import CONDITIONS, PASS, PASS_TABLES, SETUP, TIMESLIP
from nextpass.files.reading import Reading
from nextpass.files.toml_lines import KeyPath
from nextpass.files.toml_text import value_text
from nextpass.files.wording import nearest
from nextpass.physics import air, atmosphere
from nextpass.words import phrase

PASS_FILE = "pass.toml"
KIND = phrase("refusal.files.kind.pass")
# Humidity as a share that was written for a percentage. Nought itself is taken: dry air.
_DRIEST = 0.01


def read_pass(folder: Path | str, car: Car) -> PassRecord:
    """The pass that a folder describes.

    Parameters
    ----------
    folder : Path or str
        The pass folder, or the pass file in it.
    car : Car
        The car that ran it: the setup is checked against its adjusters.

    Raises
    ------
    PassFileError
        The first fault of the folder or its file.
    """
    file = _pass_file(Path(folder))
    reading = Reading(load_toml(file, PassFileError, KIND), PassFileError, KIND)
    reading.top(PASS_TABLES, (SETUP,))
    about = reading.fields((PASS.name,), PASS, PASS_TABLES)
    conditions = reading.fields((CONDITIONS.name,), CONDITIONS, PASS_TABLES)
    clocks = reading.fields((TIMESLIP.name,), TIMESLIP, PASS_TABLES)
    setup = _setup(reading, car)
    logs = _logs(reading, file.parent, about.get("logs", ()))
    _judge_clocks(reading, clocks)
    _judge_air(reading, (CONDITIONS.name,), conditions)
    reading.raise_first()
    return PassRecord(
        folder=file.parent,
        number=about.get("number"),
        started=about.get("started"),
        logs=logs,
        notes=about.get("notes", ""),
        conditions=Conditions(**conditions),
        setup=setup,
        clocks=StripClocks(**clocks) if clocks else None,
        strip=about.get("strip", ""),
        lane=about.get("lane", ""),
    )


def read_conditions(path: Path | str) -> Conditions:
    """The conditions in a file of their own, or in a pass file or pass folder.

    Parameters
    ----------
    path : Path or str
        A file with a table ``[conditions]``, or with its keys alone.

    Raises
    ------
    PassFileError
        The first fault of the file.
    """
    file = Path(path)
    if os.path.isdir(file):
        file = _pass_file(file)
    kind = phrase("refusal.files.kind.conditions")
    reading = Reading(load_toml(file, PassFileError, kind), PassFileError, kind)
    values = reading.document.values
    if CONDITIONS.name in values or any(isinstance(value, dict) for value in values.values()):
        reading.top(PASS_TABLES, (SETUP,))
        place: KeyPath = (CONDITIONS.name,)
        fields = reading.fields(place, CONDITIONS)
    else:
        place = ()
        fields = reading.keys(place, values, CONDITIONS.keys)
    _judge_air(reading, place, fields)
    reading.raise_first()
    return Conditions(**fields)


def _pass_file(path: Path) -> Path:
    """The pass file of a folder; a file is taken for it."""
    # `os.path` answers False where `pathlib` raises, as on a name that is too long.
    if os.path.isdir(path):
        file = path / PASS_FILE
        if not os.path.isfile(file):
            inside = sorted(child.parent.name for child in path.glob(f"*/{PASS_FILE}"))
            remedy = (
                phrase("refusal.files.give_folder_in_it", folder=str(path / inside[0]))
                if inside
                else phrase("refusal.files.give_folder")
            )
            raise PassFileError(phrase("refusal.files.holds_no", name=PASS_FILE), Where(file=path), remedy)
        return file
    if not os.path.exists(path):
        remedy = phrase("refusal.files.give_folder_with", name=PASS_FILE)
        raise PassFileError(phrase("refusal.files.no_such_folder"), Where(file=path), remedy)
    return path


def _setup(reading: Reading[PassFileError], car: Car) -> Setup:
    """The value of each adjuster; faults are noted, and then the setup is not whole."""
    given = reading.table_at((SETUP,), required=True)
    values = {}
    if given is None:
        return Setup(values={})
    meant = {name: nearest(name, car.adjusters) for name in given if name not in car.adjusters}
    for name, near in meant.items():
        remedy = (
            phrase("refusal.common.meant", near=near)
            if near
            else phrase("refusal.setting.adjusters", names=", ".join(car.adjusters))
        )
        what = phrase("refusal.files.no_adjuster_of", name=f"{SETUP}.{name}", car=car.name)
        reading.fault((SETUP, name), what, remedy, names_key=False)
    for name, adjuster in car.adjusters.items():
        path: KeyPath = (SETUP, name)
        if name not in given:
            if name not in meant.values():
                what = phrase("refusal.files.key_missing", name=f"{SETUP}.{name}", holder=f"[{SETUP}]")
                remedy = phrase("refusal.files.write_dialled", name=name)
                reading.fault((SETUP,), what, remedy, names_key=False)
            continue
        fault = setting_fault(adjuster, given[name], car.gear_count)
        if fault is None:
            values[name] = setting(adjuster, given[name])
        else:
            element = None if fault.gear is None else fault.gear - 1
            reading.fault(path, fault.what, fault.remedy, element=element)
    return Setup(values=values)


def _logs(reading: Reading[PassFileError], folder: Path, names: tuple[str, ...]) -> tuple[Path, ...]:
    """The logs of a pass: they lie in its folder, so that the folder can be moved and shared as a whole."""
    is_list = isinstance(reading.document.values.get(PASS.name, {}).get("log"), list) if names else False
    logs = []
    for place, name in enumerate(names):
        path: KeyPath = (PASS.name, "log", place) if is_list else (PASS.name, "log")
        # Read as both families of systems do: a folder that is written on one is read on the other.
        as_windows = PureWindowsPath(name)
        if as_windows.drive or as_windows.root or ".." in as_windows.parts or "\0" in name:
            what = phrase("refusal.files.leads_out", name=value_text(name))
            reading.fault(path, what, phrase("refusal.files.put_log_beside"))
            continue
        log = folder / Path(*as_windows.parts)
        if os.path.isfile(log):
            logs.append(log)
        elif os.path.isdir(log):
            what = phrase("refusal.files.log_is_folder", name=value_text(name))
            reading.fault(path, what, phrase("refusal.files.name_log_in_it"))
        else:
            what = phrase("refusal.files.log_not_in", name=value_text(name), folder=str(folder))
            reading.fault(path, what, _log_remedy(folder, name, names))
    return tuple(logs)


def _log_remedy(folder: Path, name: str, taken: Collection[str]) -> str:
    others: list[str] = []
    with suppress(OSError):  # a folder may let its files be read and still not be listed
        others = [child.name for child in folder.iterdir() if child.is_file() and child.suffix != ".toml"]
    others = [file for file in others if file not in taken]
    near = nearest(name, others) or (others[0] if len(others) == 1 else None)
    return phrase("refusal.files.is_log_meant", near=near) if near else phrase("refusal.files.put_log_there")


def _judge_clocks(reading: Reading[PassFileError], clocks: Mapping[str, Any]) -> None:
    """Note clocks that run backwards."""
    times = [name for name in ("t60ft_s", "t330ft_s", "t660ft_s", "t1000ft_s", "et_s") if name in clocks]
    for earlier, later in itertools.pairwise(times):
        if clocks[later] <= clocks[earlier]:
            reading.fault(
                (TIMESLIP.name, later),
                phrase("refusal.files.clock_back", later=clocks[later], name=earlier, earlier=clocks[earlier]),
                phrase("refusal.files.copy_both"),
            )


def _judge_air(reading: Reading[PassFileError], path: KeyPath, conditions: Mapping[str, Any]) -> None:
    """Note air that cannot be: both slips would make it far too dense or too dry, and still look like numbers."""
    humidity = conditions.get("humidity")
    if humidity is not None and 0.0 < humidity < _DRIEST:
        reading.fault(
            (*path, "humidity_pct"),
            phrase("refusal.files.too_dry", percent=100 * humidity),
            phrase("refusal.common.meant", near=f"{1e4 * humidity:g}"),
        )
    pressure_kpa, altitude_m = conditions.get("pressure_kpa"), conditions.get("altitude_m")
    if pressure_kpa is None or altitude_m is None or not air.is_sea_level_reading(pressure_kpa, altitude_m):
        return
    usual_kpa = float(atmosphere.standard_pressure_kpa(altitude_m))
    reading.fault(
        (*path, "pressure_kpa"),
        phrase("refusal.files.sea_level", pressure=pressure_kpa, altitude=altitude_m),
        phrase("refusal.files.write_station_pressure", usual=usual_kpa),
    )
