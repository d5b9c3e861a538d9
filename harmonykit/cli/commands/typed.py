"""What was typed after a command, as one frozen value."""

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

T = TypeVar("T")


def as_one(kind: Callable[..., T]) -> Callable[[Callable[[T], None]], Callable[..., None]]:
    """Return what hands a command its arguments and options as one value of a kind.

    Click hands in each of them by its name; the kind has a field for each.
    """

    def make(command: Callable[[T], None]) -> Callable[..., None]:
        @wraps(command)
        def run(**typed: Any) -> None:
            command(kind(**typed))

        return run

    return make
