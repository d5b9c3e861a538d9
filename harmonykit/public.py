"""Public names: what a package offers, written once, and loaded when it is first used.

A package says where each of its names comes from in the imports that only type checkers run; its
``__all__`` says which names there are, and ruff that neither lacks one of the other.
"""

from __future__ import annotations

import ast
import difflib
import pkgutil
import sys
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from importlib import import_module
from types import MappingProxyType

_NONE: Mapping[str, str] = MappingProxyType({})


def offered(
    package: str, renamed: Mapping[str, str] = _NONE
) -> tuple[Callable[[str], object], Callable[[], list[str]]]:
    """Return ``__getattr__`` and ``__dir__`` of a package that loads its names when they are used.

    Parameters
    ----------
    package : str
        Its ``__name__``.  The imports that its ``__init__.py`` makes under ``TYPE_CHECKING`` are
        read when the first name is asked for.
    renamed : mapping of str to str
        Names that are gone, each with what is said instead of it.
    """
    module = sys.modules[package]

    def get(name: str) -> object:
        if name not in module.__all__:
            raise AttributeError(_unknown(module.__name__, name, module.__all__, renamed))
        home, inner = homes(package)[name]
        found = import_module(home)
        value: object = getattr(found, inner) if inner else found
        setattr(module, name, value)
        return value

    return get, lambda: sorted(module.__all__)


@cache
def homes(package: str) -> dict[str, tuple[str, str]]:
    """Return the module behind each name that a package offers, and what it is called there."""
    source = pkgutil.get_data(package, "__init__.py") or b""
    return dict(_homes(ast.parse(source)))


def _homes(tree: ast.Module) -> Iterator[tuple[str, tuple[str, str]]]:
    """Give each name imported for type checkers, its module, and what it is called there."""
    for block in tree.body:
        if isinstance(block, ast.If) and ast.unparse(block.test) == "TYPE_CHECKING":
            for node in block.body:
                if isinstance(node, ast.ImportFrom) and node.module:
                    for alias in node.names:
                        yield alias.asname or alias.name, (node.module, alias.name)
                elif isinstance(node, ast.Import):
                    for alias in node.names:
                        yield alias.asname or alias.name, (alias.name, "")


def _unknown(package: str, name: str, names: list[str], renamed: Mapping[str, str]) -> str:
    said = f"module {package!r} has no attribute {name!r}"
    if name in renamed:
        return f"{said}: it is now called {renamed[name]}"
    near = difflib.get_close_matches(name, names, n=3)
    return f"{said}; near it: {', '.join(near)}" if near else said
