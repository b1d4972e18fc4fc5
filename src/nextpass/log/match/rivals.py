"""At most one column a channel: the surest; the others are the same measurement again, or a question."""

from collections.abc import Container, Mapping, Sequence
from dataclasses import replace

import numpy as np

from nextpass.log.answers import LEFT_OUT
from nextpass.log.evidence import DOUBTFUL, FEWEST_READINGS, Conversion, Verdict
from nextpass.log.match.matched import Matched, question
from nextpass.log.vocabulary import vocabulary
from nextpass.words import phrase

# Two columns of one channel that agree within this share of their span are the same measurement.
SAME_SHARE = 0.03


def without_rivals(matched: Sequence[Matched], answered: Container[str]) -> tuple[Matched, ...]:
    """The columns with each channel taken once.

    Parameters
    ----------
    matched : sequence of Matched
        In the order of the file.
    answered : container of str
        Columns that a person has told: none of the others may question them.
    """
    best: dict[str, Matched] = {}
    for each in matched:
        channel = each.match.channel
        if each.conversion is None or channel is None:
            continue
        if channel not in best or each.match.confidence > best[channel].match.confidence:
            best[channel] = each
    return tuple(_against(each, best, answered) for each in matched)


def _against(each: Matched, best: Mapping[str, Matched], answered: Container[str]) -> Matched:
    channel = each.match.channel
    if each.conversion is None or channel is None or best[channel] is each:
        return each
    winner = best[channel]
    if _is_same(each, winner) or winner.column.name in answered:
        reason = phrase("log.match.already", column=winner.column.name, channel=channel)
        match = replace(each.match, channel=None, confidence=0.0, reason=reason)
        return Matched(column=each.column, match=match, conversion=None)
    verdict = Verdict(conversion=Conversion(), unit=each.match.unit, confidence=0.0, reason=phrase("log.match.rivals"))
    asks = phrase("log.match.which_rival", column=winner.column.name, channel=channel)
    other_bank = vocabulary().channels[channel].other_bank
    channels = [channel, *([other_bank] if other_bank and other_bank not in best else [])]
    choices = (*(f"{name}:{each.match.unit}" for name in channels), LEFT_OUT)
    return question(each.column, channel, verdict, DOUBTFUL, asks, choices)


def _is_same(one: Matched, other: Matched) -> bool:
    if one.conversion is None or other.conversion is None:
        return False
    mine = one.conversion.apply(one.column.values)
    theirs = other.conversion.apply(other.column.at(one.column.time_s))
    both = np.isfinite(mine) & np.isfinite(theirs)
    if both.sum() < FEWEST_READINGS:
        return False
    span = max(float(np.ptp(theirs[both])), 1e-9)
    return float(np.median(np.abs(mine[both] - theirs[both]))) <= SAME_SHARE * span
