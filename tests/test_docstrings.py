"""What is said of every public name: shapes, units, errors, and an example that runs.

The sections are numpydoc's (numpydoc manual, "Style guide").  The examples run with the tests, as
doctests; here it is read that they are there, and that they are typed as a user would.
"""

from __future__ import annotations

import ast
import inspect
import re
import textwrap
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest

import harmonykit as hk

PACKAGES = {"hk": hk}
PACKAGES |= {f"hk.{n}": v for n in hk.__all__ if isinstance(v := getattr(hk, n), ModuleType)}
SURVEY = "a survey takes seconds; the notebook 08_which_key has one"
BUILD = "a build takes seconds; the README begins with one"
NO_EXAMPLE = {
    **dict.fromkeys(("hk.build_lesson", "hk.lesson.build_course"), BUILD),
    **dict.fromkeys((f"hk.survey.{n}" for n in hk.survey.__all__ if n != "Work"), SURVEY),
    **dict.fromkeys(
        ("hk.draw.gains", "hk.draw.key_map", "hk.draw.key_profile", "hk.draw.open_shapes"), SURVEY
    ),
}
SHOWN_ELSEWHERE = {
    "hk.Tune.of_message": "what it takes is not public; hk.Tune.parse is typed",
    "hk.workbook.ReharmonisePanel.turn_page": "it shows in the browser alone",
}
# Told by a table: a number for each of its columns.
TOLD_ELSEWHERE = {"hk.arrange.Measures": "hk.arrange.MEASURES"}


def public() -> Iterator[tuple[str, Any]]:
    """Every function and class, by the shortest way in which it is typed."""
    seen = set()
    for package, module in PACKAGES.items():
        for name in module.__all__:
            value = getattr(module, name)
            if callable(value) and id(value) not in seen:
                seen.add(id(value))
                yield f"{package}.{name}", inspect.unwrap(value)


PUBLIC = dict(public())
FUNCTIONS = {name: value for name, value in PUBLIC.items() if inspect.isfunction(value)}


def sections(value: object) -> dict[str, str]:
    parts = re.split(r"^([A-Z][A-Za-z ]+)\n-{3,}$", inspect.getdoc(value) or "", flags=re.M)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def told(text: str) -> set[str]:
    """The names in a section of parameters that have a type, or a star before them."""
    typed = re.findall(r"^([\w*, ]+?) : \S", text, flags=re.M)
    starred = re.findall(r"^(\*\*?\w+)$", text, flags=re.M)
    return {name.strip(" *") for each in [*typed, *starred] for name in each.split(",")}


def untold(value: Any) -> list[str]:
    """The parameters of which no type is said."""
    if inspect.isclass(value) and issubclass(value, BaseException):
        return []
    named = list(inspect.signature(value).parameters)
    found = sections(value)
    return sorted(set(named) - told(found.get("Parameters", "") + found.get("Attributes", "")))


def raises(function: Callable[..., object]) -> bool:
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    return any(isinstance(node, ast.Raise) and node.exc for node in ast.walk(tree))


@pytest.mark.parametrize("name", sorted(PUBLIC.keys() - TOLD_ELSEWHERE.keys()))
def test_every_parameter_has_a_type(name: str) -> None:
    assert untold(PUBLIC[name]) == []


@pytest.mark.parametrize("name", FUNCTIONS)
def test_what_is_returned_and_what_is_raised_is_said(name: str) -> None:
    function = FUNCTIONS[name]
    returned = inspect.signature(function).return_annotation
    assert returned in ("None", None) or {"Returns", "Yields"} & set(sections(function))
    assert not raises(function) or "Raises" in sections(function)


def methods() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Every public method that a public class defines itself."""
    for name, value in PUBLIC.items():
        if inspect.isclass(value) and not issubclass(value, BaseException):
            for own, held in vars(value).items():
                method = inspect.unwrap(getattr(held, "__func__", held))
                if inspect.isfunction(method) and not own.startswith("_"):
                    yield f"{name}.{own}", method


METHODS = dict(methods())


@pytest.mark.parametrize("name", METHODS)
def test_a_method_says_what_it_takes_returns_and_raises(name: str) -> None:
    method, found = METHODS[name], sections(METHODS[name])
    taken = set(inspect.signature(method).parameters) - {"self", "cls"}
    assert taken <= told(found.get("Parameters", ""))
    returned = inspect.signature(method).return_annotation
    assert returned in ("None", None) or {"Returns", "Yields"} & set(found)
    assert not raises(method) or "Raises" in found


@pytest.mark.parametrize("name", sorted(METHODS.keys() - SHOWN_ELSEWHERE.keys()))
def test_what_a_method_takes_is_shown(name: str) -> None:
    owner, own = name.rsplit(".", 1)
    shown = inspect.getdoc(METHODS[name]) or ""
    of_class = inspect.getdoc(PUBLIC[owner]) or ""
    takes = set(inspect.signature(METHODS[name]).parameters) - {"self", "cls"}
    assert not takes or ">>> " in shown or re.search(rf"^>>> .*\.{own}\(", of_class, flags=re.M)


@pytest.mark.parametrize("name", PUBLIC)
def test_a_first_line_says_what_it_is_and_no_markup_is_left(name: str) -> None:
    said = inspect.getdoc(PUBLIC[name]) or ""
    first = said.partition("\n\n")[0]
    assert first.endswith(".") and len(first) < 200
    assert not re.search(r":\w+:`", said)


@pytest.mark.parametrize("name", sorted(PUBLIC.keys() - NO_EXAMPLE.keys()))
def test_it_has_an_example_as_a_user_types_it(name: str) -> None:
    said = inspect.getdoc(PUBLIC[name]) or ""
    example = "\n".join(re.findall(r"^(?:>>>|\.\.\.) (.*)$", said, flags=re.M))
    # What a function returns is shown by that function; what people type is shown where it is.
    if name in FUNCTIONS or name.count(".") == 1:
        assert example
    if name in FUNCTIONS:
        assert name in example
    if example:
        assert "hk." in example and "harmonykit" not in example


@pytest.mark.parametrize(
    ("name", "source"),
    [
        ("hk.PcSet", "Forte"), ("hk.set_classes", "Rahn"), ("hk.distance", "Tymoczko"),
        ("hk.distance_matrix", "Tymoczko"), ("hk.parents", "Cohn"), ("hk.neighbours", "Douthett"),
        ("hk.Scale", "Wikipedia"), ("hk.avoid_notes", "Wikipedia"), ("hk.read_tune", "ABC"),
        ("hk.score.read_harte", "Harte"), ("hk.arrange.to_musicxml", "MusicXML 4.0"),
        ("hk.sound.midi_bytes", "RP-001"), ("hk.sound.render", "BS.1770"),
    ],
)  # fmt: skip
def test_what_was_published_has_its_source(name: str, source: str) -> None:
    assert source in sections(PUBLIC[name])["References"]


def test_exceptions_are_no_others() -> None:
    for name in NO_EXAMPLE:
        assert ">>> " not in (inspect.getdoc(PUBLIC[name]) or ""), name
    assert all(untold(PUBLIC[name]) for name in TOLD_ELSEWHERE)


def undocumented(first: int, *others: int, last: float = 1) -> int:
    """Return something.

    Parameters
    ----------
    first : int
    *others
    """
    if first < last:
        raise ValueError(first)
    return first


def test_what_is_missing_is_seen() -> None:
    assert untold(undocumented) == ["last"]
    assert raises(undocumented)
    assert not {"Returns", "Raises"} & set(sections(undocumented))
