"""From the values of a TOML file to the fields of a record, by a table of keys; every fault is noted with its place.

A reading goes on after a fault, so that one run can show them all. What is inconsistent between keys is judged by the
reader of the file, and only where the keys themselves are sound.
"""

from collections.abc import Collection, Iterable, Mapping
from typing import Any, Generic, TypeVar

from nextpass.car import Assumed
from nextpass.errors import FileError, Where
from nextpass.files.document import Document
from nextpass.files.keys import Key, Table
from nextpass.files.toml_lines import KeyPath
from nextpass.files.toml_text import value_text
from nextpass.files.values import ValueFault, read_list, read_value
from nextpass.files.wording import dotted, holder, nearest, nearest_remedy, wrong_kind
from nextpass.words import phrase

Refusal = TypeVar("Refusal", bound=FileError)


class Reading(Generic[Refusal]):
    """One file being read: its faults so far, and what was assumed."""

    def __init__(self, document: Document, refusal: type[Refusal], kind: str) -> None:
        self.document = document
        self.refusal = refusal
        self.kind = kind
        self.faults: list[Refusal] = []
        self.assumed: list[Assumed] = []
        self.misspelt: set[str] = set()  # tables that are there under a wrong name: not missing as well

    def fault(
        self, path: KeyPath, what: str, remedy: str, *, names_key: bool = True, element: int | None = None
    ) -> None:
        """Note that something is wrong at a path; `names_key` puts the key in front of `what`.

        `element` takes the line of one element of a list, where `what` says itself which one it is.
        """
        line = self.document.line(path if element is None else (*path, element))
        where = Where(file=self.document.file, line=line, key=dotted(path) if names_key and path else None)
        self.faults.append(self.refusal(what, where, remedy))

    def raise_first(self) -> None:
        """Raise the first fault in the order of the file; missing keys come last in their table."""
        if self.faults:
            raise self.faults[0]

    def top(self, tables: Iterable[Table], named: Collection[str] = ()) -> None:
        """Check the tables at the top of the file against those that it may hold."""
        known = {table.name: table for table in tables}
        names = [*known, *named]
        for name, value in self.document.values.items():
            if name in names:
                continue
            owner = next((table.name for table in known.values() if name in table.by_name), None)
            if not isinstance(value, dict) and owner:
                what = phrase("refusal.files.before_tables", name=name)
                self.fault((name,), what, phrase("refusal.files.move_under", owner=owner), names_key=False)
                continue
            shown = f"[{name}]" if isinstance(value, dict) else name
            what = phrase("refusal.files.no_table_of", shown=shown, kind=self.kind)
            self.misspelt |= {near} if (near := nearest(name, names)) else set()
            self.fault((name,), what, nearest_remedy(name, names, "[{}]"), names_key=False)

    def table_at(self, path: KeyPath, *, required: bool) -> Mapping[str, Any] | None:
        """The table at a path as the file holds it; None, with a fault where it is required, when it is not there."""
        found: Any = self.document.values
        for part in path:
            found = found.get(part) if isinstance(found, dict) else None
        if found is None:
            if required and path[0] not in self.misspelt:
                what = phrase("refusal.files.table_missing", table=dotted(path))
                self.fault(path, what, phrase("refusal.files.write_table", table=dotted(path)), names_key=False)
            return None
        if not isinstance(found, dict):
            below = phrase("refusal.files.keys_below", table=dotted(path))
            self.fault(path, wrong_kind("table", found), below)
            return None
        return found

    def named_tables(self, name: str) -> dict[str, Mapping[str, Any]]:
        """The tables under ``[name.*]``, at least one, by the name that the owner chose."""
        found = self.table_at((name,), required=True)
        if found is not None and not found:
            what = phrase("refusal.files.table_empty", table=name)
            self.fault((name,), what, phrase("refusal.files.one_for_each", table=name), names_key=False)
        tables = {}
        for inner in found or {}:
            table = self.table_at((name, inner), required=True)
            if table is not None:
                tables[inner] = table
        return tables

    def fields(self, path: KeyPath, table: Table, others: Iterable[Table] = ()) -> dict[str, Any]:
        """Fields of the record that a table describes; `others` are searched for the owner of a misplaced key."""
        values = self.table_at(path, required=table.required)
        if values is None and table.required:
            return {}
        return self.keys(path, values or {}, table.keys, others)

    def keys(
        self, path: KeyPath, values: Mapping[str, Any], keys: Iterable[Key], others: Iterable[Table] = ()
    ) -> dict[str, Any]:
        """Fields of the given keys from the values of one table."""
        by_name = {key.name: key for key in keys}
        excused = {self._unknown(path, name, by_name, others) for name in values if name not in by_name}
        fields: dict[str, Any] = {}
        for name, key in by_name.items():
            if name in values:
                value = self.value((*path, name), key, values[name])
                if value is not None:
                    fields[key.record_field] = value
            elif key.default is not None:
                fields[key.record_field] = key.in_program(key.default.value)
                self.assumed.append(
                    Assumed(key=dotted((*path, name)), shown=key.default.shown, origin=key.default.origin)
                )
        for name, key in by_name.items():
            if key.required and name not in values and name not in excused:
                unit = f" [{key.unit}]" if key.unit else ""
                shown = f"{name} = {value_text(key.example)}"
                self.fault(
                    path,
                    phrase("refusal.files.key_missing", name=dotted((*path, name)), holder=holder(path)),
                    phrase("refusal.files.write_key", shown=shown, meaning=key.meaning, unit=unit),
                    names_key=False,
                )
        return fields

    def _unknown(self, path: KeyPath, name: str, by_name: Mapping[str, Key], others: Iterable[Table]) -> str | None:
        """Note an unknown key; the known key that was probably meant."""
        what = phrase("refusal.files.no_key_of", name=dotted((*path, name)), holder=holder(path))
        owner = next((table.name for table in others if name in table.by_name and name not in by_name), None)
        if owner is not None:
            self.fault((*path, name), what, phrase("refusal.files.belongs_under", owner=owner), names_key=False)
            return None
        near = nearest(name, by_name)
        known = phrase("refusal.files.known_keys", names=", ".join(by_name))
        remedy = phrase("refusal.common.meant", near=near) if near else known
        self.fault((*path, name), what, remedy, names_key=False)
        return near

    def value(self, path: KeyPath, key: Key, value: object) -> Any:
        """Value of one key, in the unit of the program; None, with a fault, where it cannot be."""
        try:
            return self._tables(path, key, value) if key.kind == "tables" else read_value(key, value)
        except ValueFault as fault:
            self.fault((*path, *fault.within), fault.what, fault.remedy)
            return None

    def _tables(self, path: KeyPath, key: Key, value: object) -> list[dict[str, Any]] | None:
        before = len(self.faults)
        tables = []
        for place, item in enumerate(read_list(key, value)):
            if not isinstance(item, dict):
                remedy = phrase("refusal.files.write_tables", table=dotted(path))
                raise ValueFault(wrong_kind("table", item), remedy, (place,))
            tables.append(self.keys((*path, place), item, key.keys))
        return tables if len(self.faults) == before else None
