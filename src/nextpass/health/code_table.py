"""The table of codes and causes, as `codes.toml` holds it, checked once when it is read."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from nextpass.obd import TroubleCode, trouble_code


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """One line of evidence: a finding that is there, a sign beyond a bound, or codes that are stored together.

    Parameters
    ----------
    finding : str
        Code of a finding; empty for a sign.
    channel : str
        Channel that the finding must be about, by the beginning of its name; empty for any.
    sign : str
        Name of a sign; empty for a finding.
    above, below : float or None
        Bound of the sign.
    stored : tuple of tuple of str
        Groups of codes of which one must be stored whole; empty for a finding or a sign.
    weight_for, weight_against : float
        Added to the logarithm of the odds where it holds, taken off where it does not.
    needs : tuple of str
        Channels without which a missing finding says nothing.
    is_usual : bool
        Whether a sound car shows it too.
    """

    finding: str
    channel: str
    sign: str
    above: float | None
    below: float | None
    stored: tuple[tuple[str, ...], ...]
    weight_for: float
    weight_against: float
    needs: tuple[str, ...]
    is_usual: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeEntry:
    """What the table says of a code: key of its meaning, number of a part, causes in order."""

    text: str
    number: int | None
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeTable:
    """Codes, causes with their evidence, and which causes and codes bring which caution."""

    codes: Mapping[int, CodeEntry]
    causes: Mapping[str, tuple[Statement, ...]]
    cautions: Mapping[str, frozenset[str]]


@cache
def code_table() -> CodeTable:
    """The table."""
    raw = tomllib.loads(files("nextpass.health").joinpath("codes.toml").read_text(encoding="utf-8"))
    codes = {
        trouble_code(name).number: CodeEntry(text=f"codes.meaning.{name}", number=None, causes=tuple(entry["causes"]))
        for name, entry in raw["code"].items()
    }
    for entry in raw["range"]:
        first, last = trouble_code(entry["first"]).number, trouble_code(entry["last"]).number
        for number in _standing(first, last):
            codes.setdefault(
                number,
                CodeEntry(
                    text=f"codes.range.{entry['text']}",
                    number=_counted(number) - _counted(first) + 1,
                    causes=tuple(entry["causes"]),
                ),
            )
    return CodeTable(
        codes=codes,
        causes={name: tuple(_statement(line) for line in cause["evidence"]) for name, cause in raw["cause"].items()},
        cautions={name: frozenset(names) for name, names in raw["caution"].items()},
    )


def _standing(first: int, last: int) -> list[int]:
    """Codes of a range that people write: their digits are decimal though their bytes are not."""
    return [number for number in range(first, last + 1) if str(TroubleCode(number=number))[1:].isdecimal()]


def _counted(number: int) -> int:
    return int(str(TroubleCode(number=number))[2:])


def _statement(line: Mapping[str, Any]) -> Statement:
    return Statement(
        finding=line.get("finding", ""),
        channel=line.get("channel", ""),
        sign=line.get("sign", ""),
        above=line.get("above"),
        below=line.get("below"),
        stored=tuple(tuple(group) for group in line.get("stored", ())),
        weight_for=float(line["for"]),
        weight_against=float(line["against"]),
        needs=tuple(line.get("needs", ())),
        is_usual=bool(line.get("usual", False)),
    )
