"""A car and its passes without what is personal: the driver's words, names, the time of day, the place.

A log is a stranger's file: a name or a date may stand anywhere in it. So wherever a name, a time or a place is to go,
the log is written anew from its known channels alone, and nothing that could not be read as a channel comes along.
"""

import tempfile
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path
from typing import Literal, get_args

from nextpass.book import CarRecord, NamedFile, PassContent
from nextpass.car import Car, PassRecord
from nextpass.errors import SettingError, Where
from nextpass.files import car_text, pass_text
from nextpass.jobs.make_answers import Work, car_of_text, read_work
from nextpass.log import Log, write_log
from nextpass.words import phrase

Personal = Literal["notes", "owner", "started", "position"]
PERSONAL: tuple[Personal, ...] = get_args(Personal)
_POSITION_CHANNELS = ("latitude_deg", "longitude_deg", "altitude_m")
_LOG_NAME = "log.parquet"


def personal(words: Collection[str]) -> frozenset[Personal]:
    """What is to be left out, from words as a person types them.

    Raises
    ------
    SettingError
        A word that is not one of `PERSONAL`.
    """
    asked = {word.strip() for group in words for word in group.split(",") if word.strip()}
    for word in asked:
        if word not in PERSONAL:
            raise SettingError(
                phrase("refusal.jobs.not_left_out", word=word),
                Where(key="--without"),
                phrase("refusal.common.write", what=", ".join(PERSONAL)),
            )
    return frozenset(one for one in PERSONAL if one in asked)


def left_out_words(without: Collection[Personal]) -> tuple[str, ...]:
    """What is left out, in sentences that the one who receives it reads too."""
    if not without:
        return ()
    told = [phrase(f"left_out.{one}") for one in PERSONAL if one in without]
    told.append(phrase("left_out.beside"))
    if _needs_new_log(without):
        told.append(phrase("left_out.log"))
    return tuple(told)


def car_without(record: CarRecord, without: Collection[Personal]) -> CarRecord:
    """A car's record without what is personal: of its files only the one in force, and no answer made from more."""
    if not without:
        return record
    file = record.files[-1]
    name, car_id = record.name, record.id
    entries = [one.model_copy(update={"note": ""}) if "notes" in without else one for one in record.entries]
    if "started" in without:
        # An entry is what was so on a day.
        entries = []
    if "owner" in without:
        name = _nameless(record.id)
        # Another id too: it would tell that two bundles are of one car.
        car_id = record.id[::-1]
        file = file.model_copy(update={"text": car_text(replace(car_of_text(file.text), name=name))})
    gone: dict[str, object] = {"answers": [], "header": "", "content_sha256": ""}
    if "started" in without:
        # The order of the passes stays: they are kept one after the other.
        gone["created"] = record.files[0].created
    passes = [one.model_copy(update=gone) for one in record.passes]
    said = {} if _needs_new_log(without) else record.said
    files = [file] if "owner" in without else record.files
    return record.model_copy(
        update={
            "id": car_id,
            "name": name,
            "files": files,
            "passes": passes,
            "entries": entries,
            "choices": {},
            "said": said,
        }
    )


def record_without(record: PassRecord, without: Collection[Personal]) -> PassRecord:
    """What a pass file says, without what is personal.

    Parameters
    ----------
    record : PassRecord
        As it was read.
    without : collection of Personal
        To be left out.
    """
    changed = replace(
        record,
        notes="" if "notes" in without else record.notes,
        started=None if "started" in without else record.started,
    )
    if "position" in without:
        changed = replace(changed, strip="", lane="", conditions=replace(record.conditions, altitude_m=None))
    return changed


def car_shown_without(car: Car, car_id: str, without: Collection[Personal]) -> Car:
    """The car under its own name, or under the one that a bundle without its owner gives it."""
    return replace(car, name=_nameless(car_id)) if "owner" in without else car


def pass_without(work: Work, content: PassContent, without: Collection[Personal]) -> PassContent:
    """A pass without what is personal.

    Parameters
    ----------
    work : Work
        To read it by.
    content : PassContent
        To the letter.
    without : collection of Personal

    Raises
    ------
    NextpassError
        The pass cannot be read, and so nobody can say what is in it.
    """
    if not without:
        return content
    car, record, log = read_work(work)
    return _pass_without(car, record, log, content, without)


def _pass_without(
    _car: Car, record: PassRecord, log: Log, content: PassContent, without: Collection[Personal]
) -> PassContent:
    logs = content.logs
    if _needs_new_log(without):
        logs = (NamedFile(name=_LOG_NAME, content=_log_without(log, without)),)
    changed = replace(record_without(record, without), logs=tuple(record.folder / log.name for log in logs))
    return PassContent(toml=pass_text(changed), logs=logs)


def _needs_new_log(without: Collection[Personal]) -> bool:
    return any(one in without for one in ("owner", "started", "position"))


def _log_without(log: Log, without: Collection[Personal]) -> bytes:
    gone = _POSITION_CHANNELS if "position" in without else ()
    kept = replace(
        log,
        channels={name: channel for name, channel in log.channels.items() if name not in gone},
        unmatched={},
        # What the driver wrote beside the trace is in the driver's words too.
        marks=() if {"notes", "owner"} & set(without) else log.marks,
    )
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        path = Path(place) / _LOG_NAME
        write_log(kept, path)
        return path.read_bytes()


def _nameless(car_id: str) -> str:
    return f"car {car_id[:6]}"
