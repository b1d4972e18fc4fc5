"""A pass as a pass file that reads back as the same pass."""

from collections.abc import Iterator
from dataclasses import fields

from nextpass.car import Conditions, PassRecord, StripClocks
from nextpass.files.keys import Table
from nextpass.files.pass_keys import CONDITIONS, PASS, SETUP, TIMESLIP
from nextpass.files.toml_text import field_text, key_text, value_text


def pass_text(record: PassRecord) -> str:
    """A pass file.

    Parameters
    ----------
    record : PassRecord
        Its logs must lie in its folder.

    Returns
    -------
    str
        TOML.
    """
    about: dict[str, object] = {
        "number": record.number,
        "started": record.started,
        "logs": tuple(log.relative_to(record.folder).as_posix() for log in record.logs),
        "strip": record.strip,
        "lane": record.lane,
        "notes": record.notes,
    }
    lines = [f"[{PASS.name}]", *_lines(PASS, about), ""]
    lines += [f"[{CONDITIONS.name}]", *_lines(CONDITIONS, _values(record.conditions)), ""]
    lines += [f"[{SETUP}]", *(f"{key_text(name)} = {value_text(value)}" for name, value in record.setup.values.items())]
    if record.clocks is not None:
        lines += ["", f"[{TIMESLIP.name}]", *_lines(TIMESLIP, _values(record.clocks))]
    return "\n".join(lines) + "\n"


def _values(record: Conditions | StripClocks) -> dict[str, object]:
    return {field.name: getattr(record, field.name) for field in fields(record)}


def _lines(table: Table, values: dict[str, object]) -> Iterator[str]:
    for key in table.keys:
        value = values[key.record_field]
        if value not in (None, ""):
            yield f"{key.name} = {field_text(key, value)}"
