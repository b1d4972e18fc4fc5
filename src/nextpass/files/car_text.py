"""A car as a commented car file that reads back as the same car."""

from collections.abc import Collection, Iterator

from nextpass.car import Adjuster, Car
from nextpass.files.car_keys import (
    ADJUSTER_KEYS,
    CAR,
    CAR_TABLES,
    GUARDS,
    MODELLED_ADJUSTERS,
    ONE_FUEL,
)
from nextpass.files.keys import Key, Table
from nextpass.files.toml_text import field_text, key_text, number_text, value_text

# Where the comments stand, so that the values can be read down the page.
_COMMENT_COLUMN = 34
_HEAD = """\
# A car for nextpass. Units stand in the names of the keys; pressures are absolute.
# Lines such as '# key = value' are what nextpass assumes: remove the # and write the car's own value where you know it.
"""
_HEAD_UNSURE = (
    "# 'check:' marks a usual value that nobody has confirmed for this car: correct it and remove the word.\n"
)
_UNSURE = "check: "


def car_text(car: Car, unsure: Collection[str] = ()) -> str:
    """A car file with a comment at each key.

    Parameters
    ----------
    car : Car
        What is assumed in it stays a comment, so that the file reads back as the same car.
    unsure : collection of str
        Dotted keys whose value the owner has not confirmed; their comment says so.

    Returns
    -------
    str
        TOML.
    """
    assumed = {item.key: item.shown for item in car.assumed}
    lines = [_HEAD + (_HEAD_UNSURE if unsure else "")]
    for table in CAR_TABLES:
        if table is GUARDS:
            lines += _fuel_lines(car, unsure)
        record = car if table is CAR else getattr(car, table.name)
        lines += [f"[{table.name}]".ljust(_COMMENT_COLUMN) + f"# {table.meaning}"]
        lines += _key_lines(table, record, assumed, unsure)
        lines += [""]
    lines += _adjuster_lines(car, unsure)
    if car.thresholds:
        lines += ["[thresholds]".ljust(_COMMENT_COLUMN) + "# of findings, where this car's differ from the usual ones"]
        lines += [f"{key_text(name)} = {number_text(value)}" for name, value in car.thresholds.items()]
    return "\n".join(lines).rstrip("\n") + "\n"


def _key_lines(table: Table, record: object, assumed: dict[str, str], unsure: Collection[str]) -> Iterator[str]:
    for key in table.keys:
        path = f"{table.name}.{key.name}"
        value = getattr(record, key.record_field)
        if key.kind == "tables":
            for row in value:
                yield f"[[{path}]]".ljust(_COMMENT_COLUMN) + f"# {_comment(key, path in unsure)}"
                for inner in key.keys:
                    yield from _lines(inner, getattr(row, inner.record_field))
        elif path in assumed:
            # The radius that follows from the size has no default of its own: the size says it.
            yield from () if key.default is None else _lines(key, value, prefix="# ")
        elif value not in (None, ""):
            yield from _lines(key, value, is_unsure=path in unsure)


def _fuel_lines(car: Car, unsure: Collection[str]) -> Iterator[str]:
    for fuel in car.fuels.values():
        yield f"[fuels.{key_text(fuel.name)}]".ljust(_COMMENT_COLUMN) + f"# {ONE_FUEL.meaning}"
        for key in ONE_FUEL.keys:
            path = f"fuels.{fuel.name}.{key.name}"
            yield from _lines(key, getattr(fuel, key.record_field), is_unsure=path in unsure)
        yield ""


def _adjuster_lines(car: Car, unsure: Collection[str]) -> Iterator[str]:
    yield "# What can be set at the track: one table each."
    for adjuster in car.adjusters.values():
        modelled = MODELLED_ADJUSTERS.get(adjuster.name)
        meaning = modelled.meaning if modelled else "the owner's own"
        mark = _UNSURE if f"adjusters.{adjuster.name}" in unsure else ""
        yield f"[adjusters.{key_text(adjuster.name)}]".ljust(_COMMENT_COLUMN) + f"# {mark}{meaning}"
        yield from (
            f"{key.name} = {value_text(getattr(adjuster, key.record_field))}"
            for key in ADJUSTER_KEYS[adjuster.kind]
            if _is_said(key, adjuster)
        )
        yield ""


def _is_said(key: Key, adjuster: Adjuster) -> bool:
    return key.required or bool(getattr(adjuster, key.record_field))


def _lines(key: Key, value: object, *, is_unsure: bool = False, prefix: str = "") -> Iterator[str]:
    """The key with its comment beside it, or above it where the value is long."""
    line = f"{prefix}{key.name} = {field_text(key, value)}"
    comment = f"# {_comment(key, is_unsure)}"
    if len(line) < _COMMENT_COLUMN:
        yield line.ljust(_COMMENT_COLUMN) + comment
    else:
        yield comment
        yield line


def _comment(key: Key, is_unsure: bool) -> str:
    return f"{_UNSURE if is_unsure else ''}{key.meaning}{f' [{key.unit}]' if key.unit else ''}"
