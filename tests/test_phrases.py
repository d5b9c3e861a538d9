"""No text that a person reads has a phrase that words of the trade replace.

The phrases, with what to say, and the exceptions, each with its reason, are in
``shared/phrases.toml``; how texts are found is in ``said_texts``.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from said_texts import Said, of_notebook, of_python, of_script, of_template, texts_of

ROOT = Path(__file__).resolve().parents[1]
TABLE = tomllib.loads((ROOT / "shared" / "phrases.toml").read_text(encoding="utf-8"))
MOST_WORDS = 25
# What is written of the table itself, and of names that were.
SKIPPED = ("harmonykit/words/former.py",)


@dataclass(frozen=True, slots=True)
class Kept:
    """An exception: a part of a text in a file, and why it may stand."""

    file: str
    text: str
    reason: str

    def covers(self, said: Said) -> bool:
        return said.file == self.file and self.text in said.text


@dataclass(frozen=True, slots=True)
class Refused:
    """A phrase, what to say instead, and whether it is looked for in one word alone."""

    pattern: str
    say: str
    alone: bool = False

    def found_in(self, text: str) -> str:
        if not self.alone and not re.search(r"\s", text.strip()):
            return ""
        found = re.search(self.pattern, text, re.IGNORECASE)
        return found[0] if found else ""


REFUSED = [Refused(**row) for row in TABLE["refused"]]
KEPT = [Kept(**row) for row in TABLE.get("kept", [])]


def faults(texts: Iterable[Said], kept: Iterable[Kept] = ()) -> Iterator[str]:
    """Give each text with a refused phrase, or a sentence too long, and what to say."""
    kept = list(kept)
    for said in texts:
        if said.file in SKIPPED or any(each.covers(said) for each in kept):
            continue
        for phrase in REFUSED:
            if found := phrase.found_in(said.text):
                yield f"{said.file}:{said.line}: {found!r} in {said.text!r}; say: {phrase.say}"
        yield from _long(said)


def _long(said: Said) -> Iterator[str]:
    text = said.text.split("Example:")[0]
    if re.search(r"<\w|\{\{|[{;]\w+:", text):  # markup, calls, styles
        return
    for sentence in re.split(r"(?<=[.!?:;])\s|\n\s*\n", text):
        words = re.findall(r"[^\W\d_][\w'’-]*|\{\}", sentence)
        if len(words) > MOST_WORDS and "{}" * 5 not in sentence:
            start = " ".join(sentence.split()[:8])
            place = f"{said.file}:{said.line}"
            yield f"{place}: {len(words)} words in {start!r} ...; say: two sentences"


@pytest.fixture(scope="module")
def ours() -> list[Said]:
    return [*texts_of(ROOT)]


def test_no_text_has_a_refused_phrase(ours: list[Said]) -> None:
    found = [*faults(ours, KEPT)]
    assert not found, "\n" + "\n".join(found)


def test_each_exception_has_a_text_and_a_reason(ours: list[Said]) -> None:
    for each in KEPT:
        assert len(each.reason.split()) > 2, each
        covered = [said for said in ours if each.covers(said)]
        assert covered and [*faults(covered)], f"{each} covers no text that is refused"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("raise HarmonyError(f'{name!r} is no key')", "is not a"),
        ("raise HarmonyError(\n  'x',\n  rule='there is no level 4',\n)", "missing"),
        ("title = f'{count} chords put in'", "added"),
        ("help('The front of ways')", "Pareto front"),
        ("Control('weight', 'number', 'prices')", "weights"),
        ("label = 'climb'", "walk"),
        ("reason = f'{chord} leads to {target}'", "resolves to"),
        ("@app.command()\ndef tell() -> None:\n    'Draw a box of SYMBOL.'", "chord diagram"),
        ("x = 'a box' ' of four strings'", "chord diagram"),
        ("text = 'What is ' + f'borrowed: a chord scale'", "scale of chords"),
        ("x = {'a map wants two chords': 1}", "things do not want"),
        (f"x = '{' '.join(['word'] * 26)}.'", "two sentences"),
    ],
)
def test_a_planted_text_of_python_is_found(text: str, said: str) -> None:
    found = [*faults(of_python(text, "planted.py"))]
    assert len(found) == 1
    assert said in found[0] and found[0].startswith("planted.py:")


@pytest.mark.parametrize(
    "text",
    [
        "'''The front of a module: is no text.'''",
        "def f():\n    '''There is no text here.'''",
        "X = 1\n'''The prices.'''",
        "found = re.search('is no key', text)",
        "__all__ = ['climb']",
        "x = 'on the front page'",
        "x = 'write it in the text box'",
        "x = 'the walk is not a chord of its own'",
        "x = f'{count} is no longer than a bar'",
    ],
)
def test_what_nobody_reads_and_what_is_right_is_let_through(text: str) -> None:
    assert not [*faults(of_python(text, "planted.py"))]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("<p>\n<b>Chords</b> that are no chords</p>", 2),
        ('<button\naria-label="the front">+</button>', 2),
        ('{{ pick("style", "purpose", s.style) }}', 1),
        ("{% if x %}\n\n<td>best 1</td>{% endif %}", 3),
    ],
)
def test_a_planted_text_of_a_template_is_found(text: str, line: int) -> None:
    found = [*faults(of_template(text, "planted.jinja"))]
    assert len(found) == 1 and found[0].startswith(f"planted.jinja:{line}:")


@pytest.mark.parametrize(
    "text", ["{# the front #}<p>words</p>", "<style>.box { width: 1px }</style>", '{{ box("a") }}']
)
def test_comments_and_styles_of_a_template_are_let_through(text: str) -> None:
    assert not [*faults(of_template(text, "planted.jinja"))]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('a();\nsay("there is no sound");', 2),
        ("say('the front');", 1),
        ("// the front\nsay(`best 1`);", 2),
        ("x = `\n<p>as priced</p>\n<b>${name}</b>`;", 2),
        ('x = `<b aria-label="the front">`;', 1),
    ],
)
def test_a_planted_text_of_a_script_is_found(text: str, line: int) -> None:
    found = [*faults(of_script(text, "planted.js"))]
    assert len(found) == 1 and found[0].startswith(f"planted.js:{line}:")


def test_comments_of_a_script_are_let_through() -> None:
    assert not [*faults(of_script("// there is no key\n/* the front */ f(1);", "planted.js"))]


def test_an_exception_covers_its_text_alone() -> None:
    kept = Kept("planted.py", "is no legal advice", "as the words of rights have it")
    assert not [*faults(of_python("x = 'This is no legal advice.'", "planted.py"), [kept])]
    assert [*faults(of_python("x = 'This is no legal advice.'", "other.py"), [kept])]
    assert [*faults(of_python("x = 'This is no key.'", "planted.py"), [kept])]


def test_a_planted_text_of_a_notebook_is_found_and_its_code_is_not() -> None:
    text = ["Three chords are left.\n", "\n", "Type `x is left`."]
    cells = [
        {"cell_type": "code", "source": ["# nothing is left here\n"]},
        {"cell_type": "markdown", "source": text},
    ]
    (found,) = faults(of_notebook(json.dumps({"cells": cells}), "planted.ipynb"))
    assert found.startswith("planted.ipynb:1: 'are left'")
