"""Every key of a TOML file has the line on which it stands, however it is written."""

import tomllib

import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.files.toml_lines import key_lines

# Each number is the line on which it stands, so that the text is its own answer.
ODDITIES = '''# a comment with [brackets] and key = 1
[plain]
first = 3
"quoted key" = 4
'literal.dot' = 5
dotted.inner.deep = 6
inline = { left = 7, right = { deep = 7 } }
many = [
    9, # [not] = a key
    10,
    { inside = 11 }, [11,
    12],
]
text = """
[no.table]
first = 16 \\""" still inside
""""
after = 18
[[rows]]
number = 20
[rows.below]
number = 22
[[rows]]
number = 24
[ spaced . "out" ]
number = 26
[plain.child]
first = 28
literal = \'\'\'
key = 30\'\'\'\'
moment = 2026-05-02 14:10:00
last = 32
"escaped \\u0041" = 33
'''


def paths(value, path=()):
    """Every key path of a parsed document with its value."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield (*path, name), inner
            yield from paths(inner, (*path, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield (*path, index), inner
            yield from paths(inner, (*path, index))


def test_each_oddity_of_the_language_keeps_its_line():
    lines = key_lines(ODDITIES)
    numbers = {path: value for path, value in paths(tomllib.loads(ODDITIES)) if isinstance(value, int)}
    assert len(numbers) == 19
    assert {path: lines[path] for path in numbers} == numbers


def test_a_table_stands_where_its_header_is_even_if_a_child_came_first():
    assert key_lines("[a.b]\nx = 2\n[a]\ny = 4\n")[("a",)] == 3


NAMES = st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=6)
SCALARS = (
    st.integers(-(2**40), 2**40)
    | st.booleans()
    | st.floats(allow_nan=False)
    | st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=12)
    | st.datetimes()
)
VALUES = st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3))


@settings(max_examples=150, deadline=None)
@given(document=st.dictionaries(NAMES, VALUES, max_size=4))
def test_every_key_that_the_parser_finds_has_a_line(document):
    # A second implementation of the language writes what ours has to find.
    text = tomlkit.dumps(document)
    lines = key_lines(text)
    assert set(lines) == {path for path, _ in paths(tomllib.loads(text))}
    assert all(1 <= line <= text.count("\n") + 1 for line in lines.values())
