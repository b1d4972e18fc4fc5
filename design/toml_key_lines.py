"""How should a message find the line of a TOML key? Three ways, held against known lines, with their time.

* `search`: the first line of the key's table that begins with the key's name, by regular expression.
* `tomlkit`: the style-preserving parser keeps no positions, but what it renders for each item of the document's body
  is what stood there, so that counting the rendered line feeds gives the line of each item.
* `scanner`: `nextpass.files.toml_lines`, which runs after the standard parser has accepted the text.

Run with ``python -m design.toml_key_lines``. Result (tomlkit 0.15.2, Python 3.11): of 17 keys written in unusual but
valid ways `search` places 7, `tomlkit` 10 (none inside arrays and inline tables), the scanner all. On a car file of
5 kB the standard parser with the scanner takes 0.8 ms, tomlkit alone 12 ms.
"""

import re
import time
import tomllib

import tomlkit
from tomlkit.items import AoT, Table

from nextpass.files import CarAnswers, car_text, new_car
from nextpass.files.toml_lines import KeyPath, key_lines

# Each key that matters carries its own line number as value, so that the text is its own answer.
ODD = '''# a comment with [brackets] and key = 1
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
first = 16
"""
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
'''


def leaves(value: object, path: KeyPath = ()) -> dict[KeyPath, int]:
    """Paths of the whole numbers of a document: each number is the line on which it stands."""
    if isinstance(value, dict):
        return {at: n for key, item in value.items() for at, n in leaves(item, (*path, key)).items()}
    if isinstance(value, list):
        return {at: n for i, item in enumerate(value) for at, n in leaves(item, (*path, i)).items()}
    return {path: value} if isinstance(value, int) else {}


def by_search(text: str) -> dict[KeyPath, int]:
    """Line of the first assignment to the last name of the path, below the header of its table."""
    lines = text.split("\n")
    found = {}
    for path in leaves(tomllib.loads(text)):
        names = [str(part) for part in path if isinstance(part, str)]
        header = re.compile(rf"^\s*\[+\s*{re.escape('.'.join(names[:-1]))}\s*\]+")
        start = next((i for i, line in enumerate(lines) if header.match(line)), 0)
        key = re.compile(rf"^\s*[\"']?{re.escape(names[-1])}[\"']?\s*=")
        found[path] = next((i + 1 for i, line in enumerate(lines[start:], start) if key.match(line)), 0)
    return found


def by_tomlkit(text: str) -> dict[KeyPath, int]:
    """Line of each item of the document's body, by counting what the items before it render."""
    found: dict[KeyPath, int] = {}
    line = 1

    def walk(container: object, path: KeyPath) -> None:
        nonlocal line
        for key, item in container.body:  # type: ignore[attr-defined]
            here = path if key is None else (*path, key.key)
            if isinstance(item, AoT):
                for index, table in enumerate(item.body):
                    line += 1
                    walk(table.value, (*here, index))
            elif isinstance(item, Table):
                found.setdefault(here, line)
                line += 0 if item.is_super_table() else 1
                walk(item.value, here)
            else:
                found.setdefault(here, line)
                line += item.as_string().count("\n")
                line += 0 if key is None else item.trivia.trail.count("\n")

    walk(tomlkit.parse(text), ())
    return found


def seconds(job: object, repeats: int = 20) -> float:
    """Best time of a call [s]."""
    best = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        job()  # type: ignore[operator]
        best = min(best, time.perf_counter() - start)
    return best


def main() -> None:
    """Print how many keys each way places, and the time of the two parsers on a car file."""
    answers = leaves(tomllib.loads(ODD))
    for name, way in (("search", by_search), ("tomlkit", by_tomlkit), ("scanner", key_lines)):
        lines = way(ODD)
        wrong = [path for path, line in answers.items() if lines.get(path) != line]
        print(f"{name:8s} {len(answers) - len(wrong)} of {len(answers)} keys; misses {wrong[:4]}")
    car, unsure = new_car(CarAnswers(name="Ashby saloon"), ())
    text = car_text(car, unsure)
    scanned = seconds(lambda: (tomllib.loads(text), key_lines(text)))
    kit = seconds(lambda: tomlkit.parse(text))
    print(f"{len(text)} characters: parser and scanner {scanned * 1e3:.2f} ms, tomlkit {kit * 1e3:.2f} ms")


if __name__ == "__main__":
    main()
