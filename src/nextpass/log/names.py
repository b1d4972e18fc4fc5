"""Which channels a column's name may mean, and how well the name fits each.

A name is cut into words (at case changes, signs and digits, German compounds at known stems), each word brought to
one spelling, and words that say nothing dropped; what remains is compared as a set with each alias of the
vocabulary. A known word too many (``target``, ``rear``, ``2``) means another channel, an unknown word (``xyz``) little.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from nextpass.log.vocabulary import Vocabulary, vocabulary
from nextpass.units import Reference, Unit, read_unit

# Weight of a word that the name has and the alias has not; judged on the table of header dialects in the tests.
KNOWN_WORD_EXTRA = 0.5
UNKNOWN_WORD_EXTRA = 0.85
LEAST_NAME_SCORE = 0.3
# Signs of the longest compound that is taken apart; a damaged file may hold a word of a megabyte.
LONGEST_COMPOUND = 60

_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss"})
_PIECES = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|\d+|λ|φ")
_BRACKETS = re.compile(r"\s*[\[({<]([^\[\](){}<>]*)[\])}>]")
_STRANGE = re.compile(r"[^\W\d_][^\s,;:_]{0,7}")
_AFR = re.compile(r"(?<![a-z])afr(?![a-z])", re.IGNORECASE)
_SCALE = re.compile(r"\d{1,2}\.\d{1,2}")
_ABSOLUTE = frozenset({"absolute", "abs", "absolut"})
_GAUGE = frozenset({"gauge", "relative", "relativ", "rel"})
_NAMED_BY_UNIT = frozenset({"rotation", "speed"})
_LETTER_UNITS = frozenset("scfgv")
_NUMBERED = {"bank": "bank", "b": "bank", "bk": "bank", "bnk": "bank", "cyl": "cyl", "zyl": "cyl"}
_NUMBERED |= {"cylinder": "cyl", "zylinder": "cyl", "cy": "cyl"}
_WHEELS = {
    frozenset({"front", "left"}): "front_left",
    frozenset({"front", "right"}): "front_right",
    frozenset({"rear", "left"}): "rear_left",
    frozenset({"rear", "right"}): "rear_right",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """A column's name taken apart.

    Parameters
    ----------
    words : frozenset of str
        Of the name, one spelling each, without its unit.
    units : tuple of Unit
        What the unit may mean; empty where none is written.
    unit_text : str
        The unit as written.
    reference : {"", "absolute", "gauge"}
        What the name or the unit says that a pressure counts from.
    """

    words: frozenset[str]
    units: tuple[Unit, ...]
    unit_text: str
    reference: Reference


@dataclass(frozen=True, slots=True, kw_only=True)
class NameMatch:
    """A channel that a name may mean; `score` 0..1, 1 where the words are just those of an alias."""

    channel: str
    alias: str
    score: float


def fold(text: str) -> str:
    """Text without accents, umlauts written out; case kept."""
    decomposed = unicodedata.normalize("NFKD", text.replace("Â°", "°").translate(_UMLAUTS))
    return "".join(sign for sign in decomposed if not unicodedata.combining(sign))


def words_of(text: str) -> tuple[str, ...]:
    """The words of a name in order, one spelling each; words that say nothing are kept."""
    known = vocabulary()
    pieces: list[str] = []
    for chunk in re.split(r"[^0-9A-Za-zλφ]+", fold(text)):
        whole = chunk.lower()
        if whole in known.spellings or whole in known.noise:
            pieces.append(whole)
        else:
            pieces.extend(piece.lower() for piece in _PIECES.findall(chunk))
    spelt = [word for piece in pieces for word in _spelt(piece)]
    return tuple(_numbered(spelt))


def _spelt(piece: str) -> tuple[str, ...]:
    known = vocabulary()
    if piece in known.spellings:
        return (known.spellings[piece],)
    if piece.isdigit() or not 6 <= len(piece) <= LONGEST_COMPOUND or piece in _all_words():
        return (piece.lstrip("0") or "0",) if piece.isdigit() else (piece,)
    return tuple(known.spellings.get(part, part) for part in _compound(piece))


@cache
def _all_words() -> frozenset[str]:
    known = vocabulary()
    aliases = (word for kind in known.channels.values() for alias in kind.aliases for word in alias.split())
    return frozenset(known.spellings) | known.noise | frozenset(aliases)


@cache
def _compound(word: str) -> tuple[str, ...]:
    """Known words that a compound is made of, fewest first; the word itself where it is not made of known ones."""
    best: dict[int, tuple[str, ...]] = {0: ()}
    for end in range(3, len(word) + 1):
        for start in range(end - 2):
            part = word[start:end]
            if start in best and part in _all_words():
                parts = (*best[start], part)
                if end not in best or len(parts) < len(best[end]):
                    best[end] = parts
    return best.get(len(word), (word,))


def _numbered(words: list[str]) -> Iterable[str]:
    """Bank and cylinder joined with their numbers."""
    index = 0
    while index < len(words):
        word = words[index]
        kind = _NUMBERED.get(word)
        if kind is not None and index + 1 < len(words) and words[index + 1].isdigit():
            yield kind + words[index + 1]
            index += 2
        else:
            yield word
            index += 1


def _as_set(words: Iterable[str], known: Vocabulary) -> frozenset[str]:
    kept = {word for word in words if word not in known.noise and word != "term"}
    for pair, wheel in _WHEELS.items():
        if pair <= kept:
            kept = (kept - pair) | {wheel}
    return frozenset(kept)


def read_header(name: str, unit_text: str = "") -> Header:
    """A column's name and its unit, wherever the unit stands.

    Parameters
    ----------
    name : str
        As in the file: ``Boost [psi]``, ``MAP (kPa)``, ``Speed, km/h``, ``Motordrehzahl/U/min``, ``boost_psi``.
    unit_text : str
        From a row of units or the file's own record; it goes before what the name says.
    """
    bare, written = _split_unit(name)
    text = unit_text.strip() or written
    # A name may be nothing but its unit: `RPM`, `MPH`.
    units = read_unit(text) if text else tuple(unit for unit in read_unit(bare) if unit.quantity in _NAMED_BY_UNIT)
    words = words_of(bare)
    said = {word for word in fold(bare).lower().replace("_", " ").split() if word in _ABSOLUTE | _GAUGE}
    reference: Reference = next((unit.reference for unit in units if unit.reference), "")
    if not reference and said:
        reference = "gauge" if said & _GAUGE else "absolute"
    kept = _as_set(words, vocabulary()) or frozenset(words)
    return Header(words=kept, units=units, unit_text=text, reference=reference)


def _split_unit(name: str) -> tuple[str, str]:
    """Name without its unit, and the unit as written ("" where the name has none)."""
    unit = ""
    bare = name
    for found in _BRACKETS.finditer(name):
        inside = found[1].strip()
        if inside.lower() in _ABSOLUTE | _GAUGE:
            bare = bare.replace(found[0], " " + inside)
        elif _AFR.search(name) and _SCALE.fullmatch(inside):
            # `AFR (14.7)`: the stoichiometric ratio of the gauge's scale.
            unit, bare = f"afr@{inside}", bare.replace(found[0], " ")
        elif read_unit(inside) or not inside or _is_strange_unit(inside):
            unit, bare = inside or unit, bare.replace(found[0], " ")
    if unit or bare != name:
        return bare.strip() or name, unit
    for place in (found.start() for found in re.finditer(r"[,/;|:]", name)):
        rest = name[place + 1 :].strip()
        if place and rest and read_unit(rest):
            return name[:place].strip(), rest
    return _split_last_word(name)


def _is_strange_unit(inside: str) -> bool:
    """Whether a bracket holds a short word that nobody knows: a unit, most likely. `OBD` and the like are sources."""
    known = vocabulary().spellings.keys() | vocabulary().noise | _all_words()
    is_source = inside.isupper() and len(inside) > 2
    return _STRANGE.fullmatch(inside) is not None and not is_source and not known & set(words_of(inside))


def _split_last_word(name: str) -> tuple[str, str]:
    """A unit as the last word: ``boost_psi``, ``Speed km/h``. One that also names things (``rpm``) stays."""
    found = re.match(r"^(.*\S)[\s_.]+([^\s_.]+)$", name)
    if found is None or not read_unit(found[2]) or found[2].strip("()[]").isdigit():
        return name, ""
    word = found[2].lower()
    # After an underscore a letter is a unit; after a blank it may be an axis or the sign of a clutch.
    if len(word) == 1 and not (word in _LETTER_UNITS and name[found.start(2) - 1] == "_"):
        return name, ""
    if word in vocabulary().spellings:
        return name, found[2]
    # `equivalence ratio`: a word of a name, though it could be a unit.
    return (name, "") if len(word) > 1 and word in _all_words() else (found[1], found[2])


@cache
def _aliases() -> tuple[tuple[frozenset[str], str, str], ...]:
    known = vocabulary()
    return tuple(
        (_as_set(words_of(alias), known), kind.name, alias)
        for kind in known.channels.values()
        for alias in kind.aliases
    )


@cache
def _alias_words() -> frozenset[str]:
    return frozenset(word for words, _, _ in _aliases() for word in words)


def name_matches(words: frozenset[str]) -> tuple[NameMatch, ...]:
    """Channels that the words of a name may mean, best first, each once."""
    best: dict[str, NameMatch] = {}
    for alias_words, channel, alias in _aliases():
        if not alias_words <= words:
            continue
        score = _score(words - alias_words)
        if score >= LEAST_NAME_SCORE and (channel not in best or score > best[channel].score):
            best[channel] = NameMatch(channel=channel, alias=alias, score=score)
    return tuple(sorted(best.values(), key=lambda match: -match.score))


def _score(extra: frozenset[str]) -> float:
    score = 1.0
    for word in extra:
        is_known = word in _alias_words() or word in vocabulary().spellings.values() or word.isdigit()
        score *= KNOWN_WORD_EXTRA if is_known or word.startswith(("bank", "cyl")) else UNKNOWN_WORD_EXTRA
    return score


def shared_aliases() -> Mapping[frozenset[str], tuple[str, ...]]:
    """Aliases that more than one channel claims; the vocabulary must leave none."""
    owners: dict[frozenset[str], set[str]] = {}
    for words, channel, _ in _aliases():
        owners.setdefault(words, set()).add(channel)
    return {words: tuple(sorted(channels)) for words, channels in owners.items() if len(channels) > 1}
