"""Which reader takes a file: by its first bytes rather than by its name, and every refusal kept where none does."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import reduce

from nextpass.errors import LogError, UnknownFormatError, Where
from nextpass.log.answers import AnswerBook
from nextpass.log.hints import LogHints
from nextpass.log.read.can_frames import LIBRARY_CSV_HEADER, LIBRARY_SUFFIXES, looks_like_candump
from nextpass.log.read.can_trace import read_candump, read_library_trace
from nextpass.log.read.mdf import MAGIC, read_mdf
from nextpass.log.read.parquet import ARROW_MAGIC, PARQUET_MAGIC, read_parquet
from nextpass.log.read.position import looks_like_gpx, looks_like_nmea, read_gpx, read_nmea
from nextpass.log.read.raw import RawLog
from nextpass.log.read.source import Source
from nextpass.log.read.table import read_table
from nextpass.log.read.text import encoding_of
from nextpass.words import Phrase, phrase

Reader = Callable[[Source, LogHints, AnswerBook], RawLog]


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """One kind of file: its name for people, how to know it, how to read it.

    Where only the ending of a name speaks for it, `is_sure` is false and other readers may try as well.
    """

    name: str
    knows: Callable[[Source, str], bool]
    read: Reader
    is_sure: bool = True


# In the order in which they are asked; a text table takes whatever text is left.
FORMATS = (
    Format(name="MDF 4", knows=lambda source, _: source.head.startswith(MAGIC), read=read_mdf),
    Format(name="Parquet", knows=lambda source, _: source.head.startswith(PARQUET_MAGIC), read=read_parquet),
    Format(name="Arrow", knows=lambda source, _: source.head.startswith(ARROW_MAGIC), read=read_parquet),
    Format(name="GPX", knows=lambda _, text: looks_like_gpx(text), read=read_gpx),
    Format(name="NMEA 0183", knows=lambda _, text: looks_like_nmea(text), read=read_nmea),
    Format(name="candump", knows=lambda _, text: looks_like_candump(text), read=read_candump),
    Format(
        name=phrase("refusal.log.kind.can"),
        knows=lambda source, text: (
            source.suffix in LIBRARY_SUFFIXES or (source.suffix == ".csv" and text.startswith(LIBRARY_CSV_HEADER))
        ),
        read=read_library_trace,
        is_sure=False,
    ),
    Format(name=phrase("refusal.log.kind.table"), knows=lambda _, text: bool(text), read=read_table),
)


def read_file(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:
    """The raw log by the first reader that takes it.

    Raises
    ------
    LogError
        The only reader that knows this kind of file refuses it.
    UnknownFormatError
        Several readers were tried, or none knows this kind of file.
    """
    encoding = encoding_of(source.head)
    text = source.head.decode(encoding, errors="replace") if encoding else ""
    refusals: list[tuple[str, LogError]] = []
    for kind in FORMATS:
        if kind.knows(source, text):
            try:
                return kind.read(source, hints, book)
            except LogError as refusal:
                refusals.append((kind.name, refusal))
                if kind.is_sure:
                    break
    if len(refusals) == 1:
        raise refusals[0][1]
    what = phrase("refusal.log.unknown_format")
    if refusals:
        tried = [phrase("refusal.log.read_as", kind=name, why=refusal.what) for name, refusal in refusals]
        what = phrase("refusal.log.no_reader", tried=reduce(_and_then, tried))
    raise UnknownFormatError(
        what,
        Where(file=source.path),
        next((refusal.remedy for _, refusal in refusals if refusal.remedy), phrase("refusal.log.export_as")),
        refusals,
    )


def _and_then(first: Phrase, second: Phrase) -> Phrase:
    return phrase("refusal.log.and_then", first=first, second=second)
