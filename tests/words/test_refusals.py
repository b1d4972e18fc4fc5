"""Every refusal is a phrase: it can be said in each language, on a page and on the command line."""

import ast
import pickle
import string
from pathlib import Path

import pytest

from nextpass.errors import SettingError, Where
from nextpass.words import keys, phrase, text, translated

SOURCE = Path(__file__).resolve().parents[2] / "src" / "nextpass"
# Where the tree of refusals begins, and what a refusal is made of before its place is known; these take no place.
ROOTS = {"NextpassError"}
PLACELESS = {"Unread", "ValueFault", "SettingFault"}
# Makes its own text of what it is given.
MAKES_ITS_TEXT = "MixedDecimals"
# Calls that note or raise a refusal without naming its class, with the arguments that are texts.
BY_OTHER_NAME = {"fault": (1, 2), "refusal": (0, 2)}
# Texts that are not the program's own, with whose they are.
FOREIGN = {
    ("jobs/bench.py", "str(error)"): "a formula's own: `physics` imports nothing of ours",
    ("log/read/table_body.py", "str(error).splitlines()[0]"): "the table library's",
}


def modules():
    """Every module of the program by its path below the package."""
    return {path.relative_to(SOURCE).as_posix(): ast.parse(path.read_text("utf-8")) for path in SOURCE.rglob("*.py")}


def classes_below(roots, trees):
    """Names of some classes and of all below them."""
    classes = [node for tree in trees.values() for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
    found = set(roots)
    while True:
        more = {one.name for one in classes if {getattr(base, "id", "") for base in one.bases} & found} - found
        if not more:
            return found
        found |= more


def places_of_texts(trees):
    """Which arguments of a call are what is wrong and what to do, by the name that is called."""
    places = dict.fromkeys(classes_below(ROOTS, trees), (0, 2)) | dict.fromkeys(classes_below(PLACELESS, trees), (0, 1))
    return {name: place for name, place in (places | BY_OTHER_NAME).items() if name != MAKES_ITS_TEXT}


def texts_of(call, places):
    """What a call says is wrong, and what to do; nothing where it makes no refusal."""
    name = getattr(call.func, "id", getattr(call.func, "attr", ""))
    if name not in places:
        return []
    named = [keyword.value for keyword in call.keywords if keyword.arg in ("what", "remedy")]
    return named + [call.args[place] for place in places[name] if place < len(call.args)]


def leaves(node, assigned):
    """The expressions that a text may come from: sides of a choice, and what was assigned to a name."""
    match node:
        case ast.IfExp(body=body, orelse=orelse):
            yield from leaves(body, assigned)
            yield from leaves(orelse, assigned)
        case ast.BoolOp(values=values):
            for value in values:
                yield from leaves(value, assigned)
        case ast.Name(id=name) if name in assigned:
            # Once a name is enough, and a name that is made of itself would never end.
            for value in assigned.pop(name):
                yield from leaves(value, assigned)
        case _:
            yield node


def assigned_in(tree):
    """Everything that is assigned to a name somewhere in a module."""
    assigned = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            assigned.setdefault(node.targets[0].id, []).append(node.value)
    return assigned


def is_own_text(node):
    """Whether an expression is text of ours that is no phrase."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str) and node.value != ""
    is_made = isinstance(node, ast.JoinedStr | ast.BinOp)
    return (
        is_made or (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "str") or "str(" in ast.unparse(node)
    )


def plain_texts(trees, places):
    """Path, line and source of every text of a refusal that is no phrase, and how many texts were looked at."""
    plain, seen = [], 0
    for path, tree in trees.items():
        assigned = assigned_in(tree)
        for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
            for leaf in (leaf for node in texts_of(call, places) for leaf in leaves(node, dict(assigned))):
                seen += 1
                source = ast.unparse(leaf)
                if is_own_text(leaf) and not source.startswith("phrase(") and (path, source) not in FOREIGN:
                    plain.append(f"{path}:{leaf.lineno}: {source}")
    return plain, seen


def test_every_refusal_is_a_phrase():
    trees = modules()
    plain, seen = plain_texts(trees, places_of_texts(trees))
    assert plain == []
    # About 200 refusals with two texts each: fewer would mean that the walk has missed them.
    assert seen > 400


@pytest.mark.parametrize(
    "source",
    [
        'raise SettingError("is wrong", where)',
        'raise SettingError(phrase("a.b"), where, f"write {name}")',
        'what = f"{name} is wrong" if name else phrase("a.b")\nraise LogError(what)',
        'reading.fault(path, phrase("a.b"), "write it")',
        'raise refusal("is empty", where)',
        'raise CrewError(phrase("a.b"), remedy="start one")',
    ],
)
def test_a_refusal_in_one_language_is_found(source):
    plain, _ = plain_texts({"made_up.py": ast.parse(source)}, places_of_texts(modules()))
    assert len(plain) == 1


def test_every_phrase_that_is_asked_for_is_there_and_gets_what_it_says():
    wrong, seen = [], 0
    for path, tree in modules().items():
        for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
            if getattr(call.func, "id", "") != "phrase" or not isinstance(call.args[0], ast.Constant):
                continue
            seen += 1
            key, given = call.args[0].value, {keyword.arg for keyword in call.keywords}
            asked = {name for _, name, _, _ in string.Formatter().parse(text(key))} - {None} if given else set()
            # A mapping that is unpacked, as `**names`, has no name here: what it holds is not seen.
            if key not in keys("en") or (None not in given and asked != given):
                wrong.append(f"{path}:{call.lineno}: {key} asks for {sorted(asked)}, gets {sorted(map(str, given))}")
    assert wrong == []
    # Over 500 texts of refusals alone have a key that stands in the code.
    assert seen > 500


def test_a_refusal_is_told_in_german_after_the_way_to_another_process():
    refusal = SettingError(phrase("refusal.setting.no_gear", gear=9), Where(key="x"), phrase("refusal.common.write_it"))
    came = pickle.loads(pickle.dumps(refusal))
    assert str(came) == "x: there is no gear 9; write it"
    assert came.told(lambda said: translated(said, "de")) == "x: es gibt keinen 9. Gang; hinschreiben"
