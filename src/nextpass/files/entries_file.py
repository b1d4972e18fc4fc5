"""The entries file: what was done to a car by hand, as tables ``[[entry]]``, each fault with its line."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nextpass.car import ENTRY_KINDS, LedgerEntry
from nextpass.errors import PassFileError
from nextpass.files.document import load_toml
from nextpass.files.keys import Key, Table
from nextpass.files.reading import Reading
from nextpass.files.wording import wrong_kind
from nextpass.words import phrase

KIND = phrase("refusal.files.kind.ledger")
VALUES = "values"

ENTRY = Table(
    name="entry",
    meaning="One thing that was done to the car or read from it",
    keys=(
        Key(name="when", kind="moment", meaning=phrase("file_key.entry.when"), example="2026-05-02T10:00:00"),
        Key(name="kind", kind="choice", meaning=phrase("file_key.entry.kind"), example="service", choices=ENTRY_KINDS),
        Key(name="item", kind="text", meaning=phrase("file_key.entry.item"), example="gearbox oil"),
        Key(
            name="due_launches",
            kind="number",
            meaning=phrase("file_key.entry.due_launches"),
            example=40,
            low=1,
            high=100_000,
            bound=phrase("file_key.bound.launches_of_a_car"),
            required=False,
        ),
        Key(
            name="due_days",
            kind="number",
            meaning=phrase("file_key.entry.due_days"),
            example=365,
            unit="days",
            low=1,
            high=10_000,
            bound=phrase("file_key.bound.life"),
            required=False,
        ),
        Key(
            name="log",
            kind="text",
            meaning=phrase("file_key.entry.log"),
            example="relearn.csv",
            required=False,
        ),
        Key(
            name="codes",
            kind="names",
            meaning=phrase("file_key.entry.codes"),
            example=["P0299"],
            required=False,
            counts=(0, 200),
        ),
        Key(
            name="state",
            kind="choice",
            meaning=phrase("file_key.entry.state"),
            example="before",
            choices=("before", "after"),
            required=False,
        ),
        Key(
            name="notes",
            kind="text",
            meaning=phrase("file_key.entry.notes"),
            example="",
            required=False,
            may_be_empty=True,
        ),
    ),
)


def read_entries(file: Path | str) -> tuple[LedgerEntry, ...]:
    """Entries of a ledger file, the oldest first.

    Parameters
    ----------
    file : Path or str
        TOML with a table ``[[entry]]`` for each; readings stand under ``[entry.values]`` by the owner's own names.

    Raises
    ------
    PassFileError
        The first fault of the file.
    """
    path = Path(file)
    reading = Reading(load_toml(path, PassFileError, KIND), PassFileError, KIND)
    reading.top((), (ENTRY.name,))
    given = reading.document.values.get(ENTRY.name)
    if not isinstance(given, list) or not all(isinstance(item, dict) for item in given):
        what = phrase("refusal.files.no_entries")
        reading.fault((ENTRY.name,), what, phrase("refusal.files.write_entry"))
        given = []
    entries = [_entry(reading, path.parent, place, item) for place, item in enumerate(given)]
    reading.raise_first()
    zoned = {entry.when.tzinfo is not None for entry in entries if entry is not None}
    if len(zoned) > 1:
        reading.fault((ENTRY.name,), phrase("refusal.files.mixed_zones"), phrase("refusal.files.write_alike"))
    reading.raise_first()
    return tuple(sorted((entry for entry in entries if entry is not None), key=lambda entry: entry.when))


def _entry(reading: Reading[PassFileError], folder: Path, place: int, item: Mapping[str, Any]) -> LedgerEntry | None:
    before = len(reading.faults)
    path = (ENTRY.name, place)
    plain = {name: value for name, value in item.items() if name != VALUES}
    fields = reading.keys(path, plain, ENTRY.keys)
    values = _values(reading, place, item.get(VALUES, {}))
    if len(reading.faults) > before:
        return None
    log = fields.pop("log", None)
    return LedgerEntry(**fields, values=values, log=None if log is None else folder / log)


def _values(reading: Reading[PassFileError], place: int, given: object) -> dict[str, float | str]:
    path = (ENTRY.name, place, VALUES)
    if not isinstance(given, dict):
        reading.fault(path, wrong_kind("table", given), phrase("refusal.files.keys_below", table="entry.values"))
        return {}
    found: dict[str, float | str] = {}
    for name, value in given.items():
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            what = wrong_kind("number_or_text", value)
            reading.fault((*path, name), what, phrase("refusal.files.write_one_of_them"))
        else:
            found[name] = value if isinstance(value, str) else float(value)
    return found
