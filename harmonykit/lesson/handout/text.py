"""The text of a handout as plain data: runs of letters in one style.

A run is ``[text, style]`` with the style ``""``, ``"b"`` (semibold), ``"i"`` (italic) or ``"bi"``.
No text is ever read as markup by the page's template.
"""

import re
from collections.abc import Iterator, Sequence

from markdown_it import MarkdownIt
from markdown_it.token import Token

from harmonykit.words.numbers import join_words

Run = list[str]

_BOUND = re.compile(
    r"(?<=\bfret) (?=\d)|(?<=\b(?:at|to)) (?=fret \d)"
    r"|(?<=\d,) (?=\S+ string\b)|(?<=\b[A-Ga-g]) (?=string\b)"
    r"|(?<=hurts,) (?=stop\b)"
)
_APOSTROPHE = re.compile(r"(?<=[^\W\d_])'(?=[^\W\d_])")
_LONG_WORD = re.compile(r"\S{32,}")
_PIECE = re.compile(r"\S{16}")
_MAY_BREAK = "\u200b"
_TIE = "\N{NO-BREAK SPACE}"
_BEGIN = {"strong_open": "b", "em_open": "i"}
_END = {"strong_close": "b", "em_close": "i"}
_LISTS = {
    "bullet_list_open": 1, "ordered_list_open": 1, "bullet_list_close": -1,
    "ordered_list_close": -1,
}  # fmt: skip
_VERBATIM = ("fence", "code_block", "html_block")


def paragraphs(markdown: str) -> list[list[Run]]:
    """Return the paragraphs of a Markdown text, list items among them, as runs.

    Examples
    --------
    >>> paragraphs("Lower **one** string.\\n\\n- Then listen.")
    [[['Lower ', ''], ['one', 'b'], [' string.', '']], [['– Then listen.', '']]]
    """
    found: list[list[Run]] = []
    lists = 0
    for token in MarkdownIt("commonmark").parse(markdown):
        lists += _LISTS.get(token.type, 0)
        runs = list(_runs(token))
        if runs:
            found.append(_joined([["– ", ""], *runs] if lists else runs))
    return found


def _runs(block: Token) -> Iterator[Run]:
    if block.type in _VERBATIM:
        yield [unbroken(block.content.strip()), ""]
    style: list[str] = []
    for token in block.children or []:
        # A picture is set as one, not as its words.
        if token.type == "image":
            continue
        if token.type in _BEGIN:
            style.append(_BEGIN[token.type])
        elif token.type in _END:
            style.remove(_END[token.type])
        else:
            text = " " if token.type in ("softbreak", "hardbreak") else token.content
            if text:
                yield [unbroken(text), "".join(sorted(set(style)))]


def _joined(runs: Sequence[Run]) -> list[Run]:
    """Return runs with neighbours of one style made one."""
    found: list[Run] = []
    for text, style in runs:
        if found and found[-1][1] == style:
            found[-1][0] += text
        else:
            found.append([text, style])
    return found


def unbroken(text: str) -> str:
    """Return a text whose over-long words may break, so that none runs off the page.

    Examples
    --------
    >>> len(unbroken("x" * 40)), unbroken("Heron Landing")
    (42, 'Heron Landing')
    """
    return _LONG_WORD.sub(lambda word: _PIECE.sub(rf"\g<0>{_MAY_BREAK}", word[0]), text)


def bound(text: str) -> str:
    """Return a text in which no line ends between a fret or a string and what names it.

    An apostrophe within a word is set as a printer sets it.

    Examples
    --------
    >>> bound("4 at fret 2, A string of the chord's").replace("\\N{NO-BREAK SPACE}", "_")
    '4 at_fret_2,_A_string of the chord’s'
    """
    return _APOSTROPHE.sub("\N{RIGHT SINGLE QUOTATION MARK}", _BOUND.sub(_TIE, text))


def plain(text: str, style: str = "") -> list[Run]:
    """Return a text as one run."""
    return [[unbroken(text), style]] if text else []


def spans(numbers: Sequence[int]) -> str:
    """Return bar numbers for reading, neighbours drawn together.

    Examples
    --------
    >>> spans([3]), spans([1, 2, 3, 7, 8]), spans([1, 3])
    ('bar 3', 'bars 1 to 3, 7 and 8', 'bars 1 and 3')
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    parts: list[str] = []
    for run in runs:
        parts += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else list(map(str, run))
    return ("bars " if len(set(numbers)) > 1 else "bar ") + join_words(parts)
