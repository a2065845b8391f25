"""JSON values to dataclasses, by the types of their fields."""

from __future__ import annotations

import math
import types
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints


class FormatError(Exception):
    """A value that does not fit. The message is one line: where, what is there and what should be."""


def decode(kind: Any, value: Any, where: str) -> Any:
    """value as kind: a dataclass, tuple[X, ...], dict[str, X], X | None, str, bool, int, float or Any.

    A dataclass is an object with exactly its fields. A float may be written as a whole number; it must be finite.
    where: path of the value ("computed.games[0]"), empty at the top. Raises FormatError.

    >>> decode(tuple[int, ...], [1, 2], "answers")
    (1, 2)
    """
    arguments = get_args(kind)
    if kind is Any:
        return value
    if get_origin(kind) in (Union, types.UnionType):
        (other,) = (argument for argument in arguments if argument is not type(None))
        return None if value is None else decode(other, value, where)
    if get_origin(kind) is tuple:
        return tuple(
            decode(arguments[0], item, f"{where}[{index}]") for index, item in enumerate(_a(list, value, where))
        )
    if get_origin(kind) is dict:
        members = _a(dict, value, where).items()
        return {key: decode(arguments[1], item, f"{where}.{_name(key)}") for key, item in members}
    if is_dataclass(kind):
        return _dataclass(kind, _a(dict, value, where), where)
    if kind is float:
        return _number(value, where)
    if kind is str:
        return _text(value, where)
    return _a(kind, value, where)


NAMES = {dict: "an object", list: "a list", str: "a text", bool: "true or false", int: "a whole number"}


def _a(kind: type, value: Any, where: str) -> Any:
    if type(value) is not kind:
        raise FormatError(f"{where or 'the file'} must be {NAMES[kind]}, not {_shown(value)}")
    return value


def _number(value: Any, where: str) -> float:
    try:
        number = float(value) if type(value) in (int, float) else math.nan
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise FormatError(f"{where} must be a number, not {_shown(value)}")
    return number


def _text(value: Any, where: str) -> str:
    text: str = _a(str, value, where)
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise FormatError(f"{where} has half of a character (a lone surrogate)") from error
    return text


def _dataclass(kind: Any, value: dict[str, Any], where: str) -> Any:
    types_of_fields = _fields(kind)
    inside = f"{where}." if where else ""
    for name in value:
        if name not in types_of_fields:
            raise FormatError(f"{inside}{_name(name)} is not known")
    for name in types_of_fields:
        if name not in value:
            raise FormatError(f"{inside}{name} is missing")
    return kind(**{name: decode(field, value[name], f"{inside}{name}") for name, field in types_of_fields.items()})


@cache
def _fields(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {field.name: hints[field.name] for field in fields(kind)}


def _name(name: str) -> str:
    return name[:40] if name.isprintable() else repr(name[:40])


def _shown(value: Any) -> str:
    return repr(value) if len(repr(value)) <= 40 else f"{repr(value)[:40]}…"
