"""From a file of any logger to channels with units and clocks."""

from nextpass.log.answers import answers_file, keep_answers
from nextpass.log.channel import Channel, Gap, Log, LogQuality, Mark, Match
from nextpass.log.hints import LogHints, hints_for
from nextpass.log.open import open_log
from nextpass.log.vocabulary import ChannelKind, vocabulary
from nextpass.log.write import write_log

__all__ = [
    "Channel",
    "ChannelKind",
    "Gap",
    "Log",
    "LogHints",
    "LogQuality",
    "Mark",
    "Match",
    "answers_file",
    "hints_for",
    "keep_answers",
    "open_log",
    "vocabulary",
    "write_log",
]
