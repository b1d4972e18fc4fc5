"""Which bank a column of the left or right side is, where the name gives the side and not the number.

Bank 1 is the bank with cylinder 1, which is the left one in some engines and the right one in others. An answer or a
name with both settles a side for the whole log. Else the values may: a sensor that the log also has by number tells at
once, and in closed loop the fuel trim of a bank rises while that bank reads lean. What stays open is asked.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from nextpass.log.answers import Answer
from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.evidence import DOUBTFUL, Conversion, Verdict
from nextpass.log.match.matched import Matched, question
from nextpass.log.names import NameMatch, name_matches
from nextpass.log.vocabulary import vocabulary
from nextpass.words import Phrase, phrase

# The words of two sides. A single letter counts only where the other one stands in the same place.
SIDES = (("left", "right"), ("l", "r"), ("a", "b"))
LEAST_NAME = 0.8
# Correlations from which on two differences between the banks are the same one, and a trim follows a lambda.
SAME = 0.7
FOLLOWS = 0.5
FEWEST_SAMPLES = 50
# Time over which a trim's rise is taken [s]: several steps of a slow logger, well under the loop's own minutes.
WINDOW_S = 0.6


@dataclass(frozen=True, slots=True)
class _Sided:
    """A column of one side: its channel of bank 1, its words without the side, its pair of sides, which of the two."""

    column: Column
    channel: str
    rest: frozenset[str]
    pair: int
    place: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Banks:
    """Columns whose side is known to be a bank, with the reason, and those for which it must be asked."""

    told: Mapping[str, tuple[NameMatch, Phrase]]
    open: Mapping[str, str]

    def proposals(self, column: Column, by_name: tuple[NameMatch, ...]) -> tuple[NameMatch, ...]:
        """What the name proposes, or the channel of the bank that the side was found to be."""
        return (self.told[column.name][0],) if column.name in self.told else by_name

    def reasoned(self, matched: Matched) -> Matched:
        """The match with what told the bank."""
        told = self.told.get(matched.column.name)
        if told is None or matched.match.channel is None:
            return matched
        reason = phrase("log.and", first=matched.match.reason, second=told[1])
        return replace(matched, match=replace(matched.match, reason=reason))

    def asked(self, column: Column) -> Matched:
        """The question which bank a side is."""
        one = self.open[column.name]
        verdict = Verdict(conversion=Conversion(), unit="", confidence=DOUBTFUL, reason=phrase("log.bank.unknown"))
        choices = (one, vocabulary().channels[one].other_bank)
        return question(column, one, verdict, DOUBTFUL, phrase("log.bank.which"), choices)


def banks_of(
    columns: Sequence[Column], proposals: Mapping[str, Sequence[NameMatch]], answers: Mapping[str, Answer]
) -> Banks:
    """What is known of the columns whose names give a side."""
    sided = _in_pairs([each for column in columns if column.name not in answers for each in _sided(column)])
    told: dict[str, tuple[NameMatch, Phrase]] = {}
    still_open: dict[str, str] = {}
    for pair in sorted({each.pair for each in sided}):
        own = [each for each in sided if each.pair == pair]
        found = _by_answer(pair, columns, answers) or _by_name(pair, columns) or _by_values(own, columns, proposals)
        for each in own:
            if found is None:
                still_open[each.column.name] = each.channel
                continue
            first, reason = found
            channel = each.channel if each.place == first else vocabulary().channels[each.channel].other_bank
            told[each.column.name] = (NameMatch(channel=channel, alias=each.column.name, score=1.0), reason)
    return Banks(told=told, open=still_open)


def _sided(column: Column) -> Iterator[_Sided]:
    for pair, words in enumerate(SIDES):
        places = [place for place, word in enumerate(words) if word in column.header.words]
        if len(places) != 1 or column.is_empty or _bank_in(column.header.words):
            continue
        rest = column.header.words - {words[places[0]]}
        best = next(iter(name_matches(rest)), None)
        if best is not None and best.score >= LEAST_NAME and vocabulary().channels[best.channel].other_bank:
            yield _Sided(column, best.channel, rest, pair, places[0])


def _in_pairs(sided: Sequence[_Sided]) -> list[_Sided]:
    """Columns of a whole side word, and of a letter only where the other letter is there as well."""
    seen = {(each.pair, each.rest, each.place) for each in sided}
    return [each for each in sided if each.pair == 0 or (each.pair, each.rest, 1 - each.place) in seen]


def _bank_in(words: frozenset[str]) -> int:
    """Number of the bank that a name says; 0 where it says none."""
    return 1 if "bank1" in words else 2 if "bank2" in words else 0


def _by_answer(pair: int, columns: Sequence[Column], answers: Mapping[str, Answer]) -> tuple[int, Phrase] | None:
    """The place of bank 1 in a pair of sides, by what a person said of another column of these sides."""
    firsts = {kind.name for kind in vocabulary().channels.values() if kind.other_bank}
    seconds = {vocabulary().channels[name].other_bank for name in firsts}
    for column in columns:
        answer = answers.get(column.name)
        places = [place for place, word in enumerate(SIDES[pair]) if word in column.header.words]
        if answer is not None and len(places) == 1 and answer.channel in firsts | seconds:
            first = places[0] if answer.channel in firsts else 1 - places[0]
            return first, phrase("log.bank.by_answer", side=SIDES[pair][first], column=column.name)
    return None


def _by_name(pair: int, columns: Sequence[Column]) -> tuple[int, Phrase] | None:
    for column in columns:
        bank = _bank_in(column.header.words)
        places = [place for place, word in enumerate(SIDES[pair]) if word in column.header.words]
        if bank and len(places) == 1:
            first = places[0] if bank == 1 else 1 - places[0]
            return first, phrase("log.bank.by_name", side=SIDES[pair][first], column=column.name)
    return None


def _by_values(
    own: Sequence[_Sided], columns: Sequence[Column], proposals: Mapping[str, Sequence[NameMatch]]
) -> tuple[int, Phrase] | None:
    """By a difference between the sides that goes with one between numbered banks."""
    numbered = {
        proposals[column.name][0].channel: column
        for column in reversed(columns)
        if proposals[column.name] and proposals[column.name][0].score == 1.0 and not column.is_empty
    }
    sides = {(each.channel, each.place): each.column for each in own}
    for channel, place in sides:
        if place != 0 or (channel, 1) not in sides:
            continue
        left, right = sides[channel, 0], sides[channel, 1]
        for one in ("lambda_bank1", "short_trim_bank1", "long_trim_bank1", "exhaust_temperature_c"):
            two = vocabulary().channels[one].other_bank
            if one not in numbered or two not in numbered:
                continue
            follows = _agreement(channel, (left, right), one, (numbered[one], numbered[two]))
            if follows:
                first = 0 if follows > 0 else 1
                names = {"one": numbered[one].name, "two": numbered[two].name}
                return first, phrase("log.bank.by_values", side=SIDES[own[0].pair][first], **names)
    return None


def _agreement(side: str, sides: tuple[Column, Column], number: str, numbered: tuple[Column, Column]) -> float:
    """Positive where the first side is bank 1, negative where it is bank 2, 0 where nothing shows it."""
    time_s = sides[0].time_s
    ours = sides[0].values - sides[1].at(time_s)
    theirs = numbered[0].at(time_s) - numbered[1].at(time_s)
    if side == number:
        found, least = _correlation(ours, theirs), SAME
    elif (side, number) == ("lambda_bank1", "short_trim_bank1"):
        found, least = _correlation(_windowed(time_s, ours), _rise(time_s, theirs)), FOLLOWS
    elif (side, number) == ("short_trim_bank1", "lambda_bank1"):
        found, least = _correlation(_rise(time_s, ours), _windowed(time_s, theirs)), FOLLOWS
    else:
        return 0.0
    return found if abs(found) > least else 0.0


def _windows(time_s: FloatArray) -> FloatArray:
    return np.arange(time_s[0], time_s[-1] - WINDOW_S, WINDOW_S / 2.0)


def _windowed(time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Means over the windows."""
    is_read = np.isfinite(values)
    times, read = time_s[is_read], values[is_read]
    if times.size < 2:
        return np.empty(0)
    summed = np.concatenate([[0.0], np.cumsum(0.5 * (read[1:] + read[:-1]) * np.diff(times))])
    starts = _windows(time_s)
    return np.asarray((np.interp(starts + WINDOW_S, times, summed) - np.interp(starts, times, summed)) / WINDOW_S)


def _rise(time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Rises over the windows; nan where nothing moves, since a loop that rests shows nothing."""
    is_read = np.isfinite(values)
    if is_read.sum() < 2:
        return np.empty(0)
    starts = _windows(time_s)
    change = np.interp(starts + WINDOW_S, time_s[is_read], values[is_read])
    change -= np.interp(starts, time_s[is_read], values[is_read])
    return np.where(change == 0.0, np.nan, change)


def _correlation(one: FloatArray, other: FloatArray) -> float:
    if one.size != other.size:
        return 0.0
    both = np.isfinite(one) & np.isfinite(other)
    if both.sum() < FEWEST_SAMPLES:
        return 0.0
    # A damaged number may be so great that its square is none.
    with np.errstate(over="ignore", invalid="ignore"):
        spreads = float(np.std(one[both])), float(np.std(other[both]))
    if not min(spreads) > 1e-9 or not np.isfinite(spreads).all():
        return 0.0
    return float(np.corrcoef(one[both], other[both])[0, 1])
