"""A condition on the values of a pass, as a person writes it: ``et_s < 11.5 and launch_rpm >= 3400``.

It is taken apart by the language's own parser, of which only comparisons, ``and``, ``or``, ``not`` and sums are let
through, and becomes a condition of the database: nothing of it is ever run.
"""

import ast
import operator
from collections.abc import Callable, Collection, Mapping
from difflib import get_close_matches
from typing import Any

from sqlalchemy import ColumnElement, and_, func, literal, not_, or_, select

from nextpass.book.tables import CarRow, PassRow, PassValueRow
from nextpass.errors import SettingError, Where
from nextpass.words import phrase

MOST_CHARACTERS = 500
# What a pass is found by besides its values.
_COLUMNS: Mapping[str, Any] = {
    "car": CarRow.name,
    "fuel": PassRow.fuel,
    "strip": PassRow.strip,
    "lane": PassRow.lane,
    "notes": PassRow.notes,
    "number": PassRow.number,
    "sequence": PassRow.sequence,
}
_TEXTS = frozenset({"car", "fuel", "strip", "lane", "notes"})
_COMPARISONS: Mapping[type[ast.cmpop], Callable[[Any, Any], Any]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}
_SUMS: Mapping[type[ast.operator], Callable[[Any, Any], Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    # By nothing there is no figure, and the pass is not found; the databases differ in what they would say.
    ast.Div: lambda left, right: left / func.nullif(right, 0.0),
}
_REMEDY = phrase("refusal.book.where.example")


def condition(text: str, known: Collection[str]) -> ColumnElement[bool]:
    """The condition that a text means, on rows of passes joined with their cars.

    Parameters
    ----------
    text : str
        Names of values, numbers, texts in quotation marks; ``gear_pressure_cap_kpa[3]`` for a gear's.
    known : collection of str
        Names that any pass of the book has a value for.

    Returns
    -------
    ColumnElement
        A pass that has no such value does not meet it, nor its opposite.

    Raises
    ------
    SettingError
        It is no condition, or names a value that no pass has.
    """
    if len(text) > MOST_CHARACTERS:
        raise SettingError(phrase("refusal.book.where.long", most=MOST_CHARACTERS), Where(key="--where"), _REMEDY)
    try:
        parsed = ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        raise SettingError(
            phrase("refusal.book.where.no_condition", text=text), Where(key="--where"), _REMEDY
        ) from error
    return _Reader(known).claim(parsed)


class _Reader:
    """Takes one condition apart."""

    def __init__(self, known: Collection[str]) -> None:
        self._known = known

    def claim(self, node: ast.expr) -> ColumnElement[bool]:
        match node:
            case ast.BoolOp(op=ast.And(), values=parts):
                return and_(*(self.claim(part) for part in parts))
            case ast.BoolOp(op=ast.Or(), values=parts):
                return or_(*(self.claim(part) for part in parts))
            case ast.UnaryOp(op=ast.Not(), operand=part):
                return not_(self.claim(part))
            case ast.Compare(left=left, ops=ops, comparators=rights):
                sides = [left, *rights]
                return and_(*(self._comparison(*pair) for pair in zip(sides, ops, rights, strict=False)))
            case _:
                raise _refused(node, "no_comparison")

    def _comparison(self, left: ast.expr, sign: ast.cmpop, right: ast.expr) -> ColumnElement[bool]:
        compare = _COMPARISONS.get(type(sign))
        if compare is None:
            raise _refused(left, "unknown_comparison")
        is_text = any(isinstance(side, ast.Constant) and isinstance(side.value, str) for side in (left, right))
        is_text = is_text or any(isinstance(side, ast.Name) and side.id in _TEXTS for side in (left, right))
        read = self._word if is_text else self._number
        claim: ColumnElement[bool] = compare(read(left), read(right))
        return claim

    def _word(self, node: ast.expr) -> Any:
        match node:
            case ast.Constant(value=str(word)):
                return literal(word)
            case ast.Name(id=name) if name in _TEXTS:
                return _COLUMNS[name]
            case ast.Name() | ast.Subscript():
                return self._value(node, PassValueRow.word)
            case _:
                raise _refused(node, "no_text")

    def _number(self, node: ast.expr) -> Any:
        match node:
            case ast.Constant(value=bool(flag)):
                return literal(float(flag))
            case ast.Constant(value=int(number) | float(number)):
                return literal(float(number))
            case ast.UnaryOp(op=ast.USub(), operand=part):
                return -self._number(part)
            case ast.BinOp(left=left, op=sign, right=right) if type(sign) in _SUMS:
                return _SUMS[type(sign)](self._number(left), self._number(right))
            case ast.Name(id=name) if name in _COLUMNS:
                return _COLUMNS[name]
            case ast.Name() | ast.Subscript():
                return self._value(node, PassValueRow.number)
            case _:
                raise _refused(node, "no_number")

    def _value(self, node: ast.Name | ast.Subscript, column: Any) -> Any:
        name = ast.unparse(node)
        if name not in self._known:
            near = get_close_matches(name, [*self._known, *_COLUMNS], n=1)
            remedy = (
                phrase("refusal.common.meant", near=near[0])
                if near
                else phrase("refusal.book.where.there_are", names=", ".join(sorted(self._known)[:12]))
            )
            raise SettingError(phrase("refusal.book.where.no_value"), Where(key=name), remedy)
        value = select(column).where(PassValueRow.pass_id == PassRow.id, PassValueRow.name == name)
        return value.correlate(PassRow).scalar_subquery()


def _refused(node: ast.expr, why: str) -> SettingError:
    what = phrase(f"refusal.book.where.{why}", part=ast.unparse(node)[:60])
    return SettingError(what, Where(key="--where"), _REMEDY)
