"""Every citation in the tests is one that ``tests/data/README.md`` lists.

A citation is a name and a year, a standard or a versioned format and its number, or a page and its
title in quotes.  Comments and docstrings are read; code is not.  A page of our own is never one.
"""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from functools import cache
from itertools import groupby
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parent
_NAME = r"[A-Z][\w’'-]+"
# Words before a year that are no authors.
_NO_AUTHORS = frozenset(("In", "Of", "From", "Since", "By", "The", "Until"))
CITATION = re.compile(
    rf"(?P<author>{_NAME}(?:, {_NAME})*(?: (?:&|and) {_NAME}| et al\.)?)(?:,? \(?)"
    r"(?P<year>1[4-9]\d\d|20[0-4]\d)\b(?![-:.]\d)"
    r"|(?P<standard>\b(?:ISO|IEC|DIN|ANSI|RFC|EBU Tech|RP-|BS\.|ITU-T)[ ]?[A-Z]*\d[\d:-]*\d)"
    r"|(?P<format>\b(?:[A-Z][A-Za-z]*[A-Z][A-Za-z]*) \d\.\d\b)"
    rf"|(?P<page>\b{_NAME}(?: {_NAME})*),? \"(?P<title>[A-Z0-9][^\"]*)\""
    r"|(?P<own>theory \([a-z]\)|\.\./shared/)"
)
# Before a quoted word these are no publications: what is said, not where it stands.
_WORDED = frozenset(("ABC", "MusicXML"))


@cache
def words_of(source: str) -> tuple[str, ...]:
    """Return the comments of a file, those on following lines joined, and its docstrings."""
    return tuple(_words_of(source))


def _words_of(source: str) -> Iterator[str]:
    tokens = [
        (token.start[0], token.string.lstrip("# "))
        for token in tokenize.generate_tokens(io.StringIO(source).readline)
        if token.type == tokenize.COMMENT
    ]
    for _, run in groupby(enumerate(tokens), key=lambda pair: pair[1][0] - pair[0]):
        yield " ".join(text for _, (_, text) in run)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
            yield " ".join((ast.get_docstring(node) or "").split())


def citations(text: str) -> Iterator[str]:
    """Yield what a text cites, in the form of the keys of the list."""
    for found in CITATION.finditer(text):
        if found["author"]:
            if found["author"] not in _NO_AUTHORS:
                yield f"{found['author'].replace(' and ', ' & ')} {found['year']}"
        elif found["page"]:
            if found["page"] not in _WORDED:
                yield f'{found["page"]}, "{found["title"]}"'
        else:
            yield found[0]


@cache
def listed() -> frozenset[str]:
    """Return the keys of the list: what stands in bold under "Citations"."""
    text = (TESTS / "data" / "README.md").read_text(encoding="utf-8")
    part = text.partition("## Citations")[2].partition("\n## ")[0]
    return frozenset(re.findall(r"\*\*(.+?)\*\*", part))


def unlisted(source: str) -> list[str]:
    """Return what a file cites and the list lacks."""
    known = listed()
    return [found for text in words_of(source) for found in citations(text) if found not in known]


@pytest.mark.parametrize(
    "path", sorted(TESTS.rglob("*.py")), ids=lambda path: str(path.relative_to(TESTS))
)
def test_every_citation_is_listed(path: Path) -> None:
    if path != Path(__file__).resolve():
        assert unlisted(path.read_text(encoding="utf-8")) == []


def test_every_entry_of_the_list_is_cited() -> None:
    files = [path for path in TESTS.rglob("*.py") if path != Path(__file__).resolve()]
    texts = [text for path in files for text in words_of(path.read_text(encoding="utf-8"))]
    tables = (TESTS / "data" / "README.md").read_text(encoding="utf-8").partition("## Cit")[0]
    cited = {found for text in (*texts, tables) for found in citations(text)}
    assert listed() - cited == set()


@pytest.mark.parametrize(
    ("cited", "key"),
    [
        ("# Nobody 1999, page 3", "Nobody 1999"),
        ("# As in Nobody and Somebody (2001): four", "Nobody & Somebody 2001"),
        ("# Nobody et al., 2001", "Nobody et al. 2001"),
        ('# Some Encyclopedia, "A Page"', 'Some Encyclopedia, "A Page"'),
        ("# theory (e)", "theory (e)"),
        ("# see ../shared/theory.md", "../shared/"),
        ("# ISO 99999:2001", "ISO 99999:2001"),
        ("# MusicXML 9.9", "MusicXML 9.9"),
        ('def f():\n    """What Nobody\n    1999 says."""', "Nobody 1999"),
        ("# over two lines: Nobody\n# 1999", "Nobody 1999"),
        ("# Forte 1973", ""),
        ('word = "Nobody 1999"', ""),
    ],
)
def test_one_that_is_not_listed_is_refused(cited: str, key: str) -> None:
    # The mutation: a citation put into a true file, in a comment or a docstring.
    source = (TESTS / "theory" / "sets" / "test_setclass.py").read_text(encoding="utf-8")
    assert unlisted(source) == []
    assert unlisted(f"{source}\n\n{cited}\n") == ([key] if key else [])
