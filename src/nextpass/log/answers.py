"""What a person said that a column is, and the file that keeps it for every later log with the same header.

An answer is written ``channel:unit``: ``manifold_pressure_kpa:psi gauge``, ``lambda_bank1:afr@14.7``, ``time:ms``. The
unit may be left out where the header states it; a minus before it turns the sign (``knock_retard_deg:-deg``); a single
``-`` leaves the column out without asking again.
"""

import hashlib
import json
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from nextpass.errors import FileError, SettingError, UnitError, Where
from nextpass.log.vocabulary import vocabulary
from nextpass.units import unit_of
from nextpass.words import phrase

TIME = "time"
LEFT_OUT = "-"
ANSWERS_FILE = "log-answers.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What one column is; `unit` is empty where the header's own is meant, `is_turned` where the sign is the other."""

    channel: str
    unit: str
    is_turned: bool = False


def read_answer(column: str, text: str) -> Answer:
    """An answer taken apart and checked.

    Raises
    ------
    SettingError
        There is no such channel.
    UnitError
        The unit is not one of the channel's quantity.
    """
    channel, _, unit = text.strip().partition(":")
    channel, unit = channel.strip(), unit.strip()
    if channel == LEFT_OUT:
        return Answer(channel=LEFT_OUT, unit="")
    if channel == TIME:
        _check_unit(column, unit, "time")
        return Answer(channel=TIME, unit=unit)
    kind = vocabulary().channels.get(channel)
    if kind is None:
        nearest = get_close_matches(channel, vocabulary().channels, n=1, cutoff=0.5)
        remedy = (
            phrase("refusal.log.channel_meant", near=nearest[0]) if nearest else phrase("refusal.log.channels_listed")
        )
        raise SettingError(phrase("refusal.log.no_channel", channel=channel), Where(channel=column), remedy)
    is_turned = len(unit) > 1 and unit.startswith("-") and unit.strip("-") != ""
    unit = unit.lstrip("-").strip() if is_turned else unit
    _check_unit(column, unit, kind.quantity)
    return Answer(channel=channel, unit=unit, is_turned=is_turned)


def _check_unit(column: str, unit: str, quantity: str) -> None:
    try:
        if unit:
            unit_of(unit, quantity)
    except UnitError as error:
        raise UnitError(error.what, Where(channel=column), error.remedy) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerBook:
    """Answers that were given for this log, and the file of those that were given for earlier ones.

    Parameters
    ----------
    given : Mapping[str, Answer]
        By the name of the column.
    kept : Path or None
        See `kept_answers`.
    """

    given: Mapping[str, Answer]
    kept: Path | None = None

    def of(self, names: Sequence[str]) -> Mapping[str, Answer]:
        """Answers for a log with these columns; what is given now goes before what is kept."""
        if self.kept is None:
            return self.given
        earlier = kept_answers(self.kept, header_key(names))
        return {**{column: read_answer(column, text) for column, text in earlier.items()}, **self.given}


def header_key(names: Iterable[str]) -> str:
    """A short name for a header: the same for every log with the same columns in the same order."""
    return hashlib.sha256("\x1f".join(names).encode()).hexdigest()[:16]


def answers_file() -> Path:
    """Where this user's answers are kept, by the XDG base directory specification."""
    data = os.environ.get("XDG_DATA_HOME")
    return (Path(data) if data else Path.home() / ".local" / "share") / "nextpass" / ANSWERS_FILE


def kept_answers(file: Path, header: str) -> Mapping[str, str]:
    """Answers kept for a header; empty where there are none."""
    return _load(file).get(header, {})


def kept_headers(file: Path) -> Mapping[str, Mapping[str, str]]:
    """Every answer that is kept in a file, by header and column; empty where there is none."""
    return _load(file)


def keep_answers(file: Path, header: str, answers: Mapping[str, str]) -> None:
    """Add answers for a header to the file; a later answer for a column takes the place of the earlier one."""
    kept = dict(_load(file))
    kept[header] = {**kept.get(header, {}), **answers}
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        # Written beside and moved over, so that a broken write leaves the old answers whole.
        fresh = file.with_suffix(".new")
        fresh.write_text(json.dumps(kept, indent=1, ensure_ascii=False, sort_keys=True), encoding="utf-8")
        fresh.replace(file)
    except OSError as error:
        raise FileError(
            phrase("refusal.log.answers_unkept", why=error.strerror), Where(file=file), phrase("refusal.log.free_space")
        ) from error


def _load(file: Path) -> Mapping[str, Mapping[str, str]]:
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        raise FileError(
            phrase("refusal.log.answers_unread", why=str(error)), Where(file=file), phrase("refusal.log.repair_file")
        ) from error
    if not isinstance(kept, dict) or not all(isinstance(each, dict) for each in kept.values()):
        raise FileError(phrase("refusal.log.answers_damaged"), Where(file=file), phrase("refusal.log.remove_file"))
    return kept
