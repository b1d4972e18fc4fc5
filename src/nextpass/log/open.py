"""A log from a file of any logger: which reader, what each column is, what its quality is."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from nextpass.errors import SettingError, Where
from nextpass.log.answers import Answer, AnswerBook, header_key, read_answer
from nextpass.log.channel import Log, Match
from nextpass.log.column import columns_of
from nextpass.log.evidence import Conversion
from nextpass.log.hints import LogHints
from nextpass.log.lazy import LazyChannels, Recipe
from nextpass.log.match import Matched, match_columns
from nextpass.log.quality import quality_of
from nextpass.log.read import RawLog
from nextpass.log.read.choose import read_file
from nextpass.log.read.source import open_source
from nextpass.log.vocabulary import vocabulary
from nextpass.words import phrase

NO_HINTS = LogHints()


def open_log(
    path: Path | str,
    hints: LogHints = NO_HINTS,
    answers: Mapping[str, str] | None = None,
    kept: Path | None = None,
) -> Log:
    """The log in a file, its columns matched to channels.

    Parameters
    ----------
    path : Path or str
        A text table, MDF 4, Parquet, Arrow, a CAN trace with its .dbc, NMEA 0183 or GPX; plain, gzip or zip.
    hints : LogHints
        What the car and the conditions tell.
    answers : Mapping[str, str], optional
        What a column is, as ``channel:unit``, by its name in the file.
    kept : Path, optional
        File of answers that were given for earlier logs (`answers_file`); those in `answers` go before.

    Returns
    -------
    Log
        A column that is in doubt is left out, with a question in `Log.questions` and a remark in its quality.

    Raises
    ------
    LogError
        The file cannot be read; `UnknownFormatError` where no reader takes it.
    SettingError, UnitError
        An answer names a channel or unit that there is not.
    """
    book = AnswerBook(given={column: read_answer(column, text) for column, text in (answers or {}).items()}, kept=kept)
    raw = read_file(open_source(Path(path)), hints, book)
    columns = columns_of(raw)
    _check_answers(book.given, {*raw.names, *(column.name for column in columns)}, Path(path))
    return _log(raw, match_columns(columns, hints, book.of(raw.names)))


def _check_answers(given: Mapping[str, Answer], names: Set[str], path: Path) -> None:
    for column in given:
        if column not in names:
            nearest = get_close_matches(column, names, n=1, cutoff=0.4)
            remedy = (
                phrase("refusal.common.meant_quoted", near=nearest[0]) if nearest else phrase("refusal.log.name_column")
            )
            raise SettingError(phrase("refusal.log.no_column", column=column), Where(file=path), remedy)


def _log(raw: RawLog, matched: Sequence[Matched]) -> Log:
    recipes = {
        each.match.channel: _recipe(raw, each, each.match.channel, each.conversion)
        for each in matched
        if each.match.channel is not None and each.conversion is not None
    }
    others = {
        each.column.name: _recipe(raw, each, each.column.name, Conversion())
        for each in matched
        if each.conversion is None
    }
    quality = quality_of(raw, recipes, _match_remarks(matched))
    return Log(
        channels=LazyChannels(recipes),
        unmatched=LazyChannels(others),
        marks=raw.marks,
        quality=quality,
        matches=tuple(_with_rate(each.match, quality.rates_hz) for each in matched),
        header_key=header_key(raw.names),
    )


def _recipe(raw: RawLog, matched: Matched, name: str, conversion: Conversion) -> Recipe:
    kind = vocabulary().channels.get(name)
    return Recipe(
        name=name,
        source=matched.column.name,
        table=raw.tables[matched.column.table],
        position=matched.column.position,
        conversion=conversion,
        is_step=kind is not None and kind.is_step,
    )


def _match_remarks(matched: Sequence[Matched]) -> list[str]:
    remarks: list[str] = [
        phrase("log.column", column=each.match.column, remark=each.match.remark)
        for each in matched
        if each.match.remark
    ]
    for each in matched:
        if each.match.question:
            remarks.append(phrase("log.open_question", column=each.match.column, question=each.match.question))
    return remarks


def _with_rate(match: Match, rates_hz: Mapping[str, float]) -> Match:
    if match.channel is None or match.question:
        return match
    return replace(match, rate_hz=rates_hz[match.channel])
