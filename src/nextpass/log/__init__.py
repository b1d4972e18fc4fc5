"""From a file of any logger to channels with units and clocks."""

from nextpass.log.align import Alignment, align
from nextpass.log.answers import answers_file, keep_answers, kept_headers
from nextpass.log.channel import Channel, Gap, Log, LogQuality, Mark, Match
from nextpass.log.hints import LogHints, hints_for
from nextpass.log.join import join_logs, open_logs
from nextpass.log.open import open_log
from nextpass.log.vocabulary import ChannelKind, vocabulary
from nextpass.log.write import write_log

__all__ = [
    "Alignment",
    "Channel",
    "ChannelKind",
    "Gap",
    "Log",
    "LogHints",
    "LogQuality",
    "Mark",
    "Match",
    "align",
    "answers_file",
    "hints_for",
    "join_logs",
    "keep_answers",
    "kept_headers",
    "open_log",
    "open_logs",
    "vocabulary",
    "write_log",
]
