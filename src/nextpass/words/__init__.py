"""Every text that a person reads, one key each, in each language.

The texts stand in ``en.toml`` and ``de.toml`` as nested tables; a key is the dotted path. Placeholders are those of
`str.format`. A record that carries a text keeps its field a plain `str` and fills it with a `Phrase`: that is the
English text, which also remembers where it came from, so that a page can show it in another language. English is what
the answers of the program speak.
"""

from nextpass.words.figures import NO_FIGURE, number, signed, with_decimal_mark
from nextpass.words.texts import LANGUAGES, Phrase, from_data, keys, phrase, text, to_data, translated

__all__ = [
    "LANGUAGES",
    "NO_FIGURE",
    "Phrase",
    "from_data",
    "keys",
    "number",
    "phrase",
    "signed",
    "text",
    "to_data",
    "translated",
    "with_decimal_mark",
]
