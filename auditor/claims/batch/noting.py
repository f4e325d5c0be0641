"""Numbers that note what they are asked, so that it is known for which others the answers are the same."""

from __future__ import annotations

import operator
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

# How a number follows from the figures of a sentence: an int is the place of a figure, a tuple an operation on two
# keys, and anything else what it is.
Key = Any
Test = tuple[Callable[[Any, Any], Any], Key, Key]
Answers = dict[Test, bool]
T = TypeVar("T")


def value_of(key: Key, numbers: Sequence[float]) -> Any:
    """What a key stands for beside some figures."""
    if type(key) is int:
        return numbers[key]
    if type(key) is tuple:
        operation, left, right = key
        return operation(value_of(left, numbers), value_of(right, numbers))
    return key


class Number(float):
    """A number that notes the answers to all comparisons, and what is calculated from it notes them, too.

    What would look at it in any other way is answered, too, and noted as the question whether it is this number.
    """

    __slots__ = ("answers", "key")

    key: Key
    answers: Answers

    def __new__(cls, value: float, key: Key, answers: Answers) -> Number:
        """A number by its key."""
        made = super().__new__(cls, value)
        made.key, made.answers = key, answers
        return made

    def __hash__(self) -> int:
        """The same for all, so that it is compared with whatever it may be equal to."""
        return 0

    def __bool__(self) -> bool:
        """Whether it is not zero."""
        return _noted(self, (operator.ne, self.key, 0.0), plain_value(self) != 0.0)

    def is_one_of(self, numbers: frozenset[float]) -> bool:
        """Whether it is one of some."""
        return _noted(self, (_is_one_of, self.key, numbers), plain_value(self) in numbers)


def plain_value(value: T) -> T:
    """A number as any other is; all else as it is."""
    return float.__add__(value, 0.0) if isinstance(value, Number) else value  # type: ignore[return-value]


def _is_one_of(value: float, numbers: frozenset[float]) -> bool:
    return value in numbers


def _key(value: float) -> Key:
    return value.key if isinstance(value, Number) else float(value)


def _noted(number: Number, test: Test, answer: bool) -> bool:
    if not isinstance(test[1], float) or isinstance(test[2], (int, tuple)):  # else all of it is known
        number.answers[test] = answer
    return answer


def _comparing(operation: Callable[[Any, Any], Any]) -> Callable[[Number, Any], Any]:
    def compare(self: Number, other: Any) -> Any:
        if not isinstance(other, (int, float)):
            return NotImplemented
        answer = operation(plain_value(self), plain_value(other))
        return _noted(self, (operation, self.key, _key(other)), answer)

    return compare


def _calculating(operation: Callable[[Any, Any], Any], *, turned: bool = False) -> Callable[[Number, Any], Any]:
    def calculate(self: Number, other: Any) -> Any:
        if not isinstance(other, (int, float)):
            return NotImplemented
        sides = [(plain_value(self), self.key), (plain_value(other), _key(other))]
        (left, left_key), (right, right_key) = reversed(sides) if turned else sides
        value = operation(left, right)
        known = isinstance(left_key, float) and isinstance(right_key, float)
        return Number(value, value if known else (operation, left_key, right_key), self.answers)

    return calculate


def _magnitude(value: float, _: float) -> float:
    return abs(value)


def _as_itself(name: str) -> Callable[..., Any]:
    def answer(self: Number, *others: Any) -> Any:
        _noted(self, (operator.eq, self.key, plain_value(self)), True)
        for other in others:
            if isinstance(other, Number):
                _noted(other, (operator.eq, other.key, plain_value(other)), True)
        return getattr(float, name)(plain_value(self), *map(plain_value, others))

    return answer


for _name in ("lt", "le", "eq", "ne", "gt", "ge"):
    setattr(Number, f"__{_name}__", _comparing(getattr(operator, _name)))
for _name in ("add", "sub", "mul", "truediv", "mod"):
    setattr(Number, f"__{_name}__", _calculating(getattr(operator, _name)))
    setattr(Number, f"__r{_name}__", _calculating(getattr(operator, _name), turned=True))
setattr(Number, "__abs__", lambda self: _calculating(_magnitude)(self, 0.0))  # noqa: B010  # as those above
_OTHERS = (
    "__ceil__", "__divmod__", "__float__", "__floor__", "__floordiv__", "__format__", "__int__", "__neg__", "__pos__",
    "__pow__", "__rdivmod__", "__repr__", "__rfloordiv__", "__round__", "__rpow__", "__str__", "__trunc__",
    "as_integer_ratio", "conjugate", "hex", "is_integer",
)  # fmt: skip
for _name in _OTHERS:
    setattr(Number, _name, _as_itself(_name))
setattr(Number, "real", property(_as_itself("__pos__")))  # noqa: B010  # as those above
