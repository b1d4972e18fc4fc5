"""Every public formula says what goes in, in which unit, what comes out, and where it comes from."""

import inspect
import re

import pytest

from nextpass import physics

FORMULAS = [
    pytest.param(function, id=f"{module}.{name}")
    for module in physics.__all__
    for name, function in inspect.getmembers(getattr(physics, module), inspect.isfunction)
    if not name.startswith("_") and function.__module__ == f"nextpass.physics.{module}"
]


def section(text, title):
    match = re.search(rf"^{title}\n-+\n(.*?)(?=^\w+\n-+$|\Z)", text, flags=re.MULTILINE | re.DOTALL)
    return match.group(1) if match else ""


@pytest.mark.parametrize("function", FORMULAS)
def test_every_argument_is_named_with_its_unit(function):
    text = inspect.getdoc(function)
    entries = re.findall(r"^(\w[\w, ]*) : (.*)\n((?:    .*\n?)+)", section(text, "Parameters"), flags=re.MULTILINE)
    described = {name: (kind, body) for names, kind, body in entries for name in names.split(", ")}
    assert set(described) == set(inspect.signature(function).parameters)
    numbers = {name: body for name, (kind, body) in described.items() if re.search(r"array_like|float", kind)}
    assert [name for name, body in numbers.items() if not re.search(r"\[[^\]]+\]", body)] == []


@pytest.mark.parametrize("function", FORMULAS)
def test_every_formula_names_what_comes_out_and_its_source(function):
    text = inspect.getdoc(function)
    assert section(text, "Returns").strip()
    assert section(text, "References").strip()


@pytest.mark.parametrize("function", FORMULAS)
def test_every_refusal_is_documented(function):
    source = inspect.getsource(function)
    refuses = re.search(r"\b(positive|not_negative|share)\(\"|raise ValueError", source) is not None
    assert not refuses or section(inspect.getdoc(function), "Raises").strip()
