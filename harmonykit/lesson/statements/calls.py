"""Calls in a lesson's text: ``{{ name("argument", key=2) }}``.

A call names one known function and hands it literal arguments: strings, numbers, true and false,
lists of them.  It is read with ``ast`` and nothing else is allowed: no names, no attributes, no
loops.  A call that stands alone on its line may put in a picture, a table or a chart; inside a
sentence it puts in text.
"""

import ast
import difflib
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Protocol

from harmonykit.errors import HarmonyError, Place
from harmonykit.lesson.plan.model import Block, LessonError, OnPaper, Picture, Section, Table, Text
from harmonykit.lesson.plan.source import Body
from harmonykit.lesson.statements.signature import EXAMPLES, Given, check_arguments
from harmonykit.values import dataclass, replace
from harmonykit.words.former import FORMER

CALL = re.compile(r"\{\{(.*?)\}\}")
HEADING = re.compile(r"##\s+(.*?)\s*#*\s*$")
# Any figure or table may say whether it stands on the sheet.
PAPER = "paper"
CODE_FENCE = re.compile(r"\s*(```|~~~)")
Answer = str | Block | OnPaper
Function = Callable[..., Answer]


def assemble(
    body: Body,
    functions: Mapping[str, Function],
    at_line: Callable[[int], None] = lambda _: None,
) -> tuple[Section, ...]:
    """Return the sections of a lesson with every call put in.

    Parameters
    ----------
    body : Body
    functions : mapping of str to callable
        What may be called; each returns text or a block.
    at_line : callable
        Told the line of the file before each call.

    Raises
    ------
    LessonError
        Placed at the call: for one that cannot be read, that is unknown, or that is not true.
    """
    return fill(body, _Strict(functions, at_line))


class Answers(Protocol):
    """Whoever puts something in the place of each call of a text."""

    def answer(self, place: Place, source: str) -> Answer:
        """Return what takes the place of a call, given what stands between its braces."""

    def fault(self, error: LessonError) -> str:
        """Return what takes the place of a call that cannot stand where it does, or raise."""


@dataclass(frozen=True, slots=True)
class _Strict:
    """Calls functions; the first thing that is wrong is raised."""

    functions: Mapping[str, Function]
    at_line: Callable[[int], None]

    def answer(self, place: Place, source: str) -> Answer:
        self.at_line(place.line or 0)
        try:
            return answer_call(self.functions, source)
        except LessonError as error:
            raise placed(error, place) from None

    def fault(self, error: LessonError) -> str:
        raise error


def answer_call(functions: Mapping[str, Function], source: str) -> Answer:
    """Return what a call gives.

    Raises
    ------
    LessonError
        Without a place: for a call that cannot be read, that is unknown, or that is not true.

    Examples
    --------
    >>> answer_call({"twice": lambda word: f"{word} {word}"}, ' twice("so") ')
    'so so'
    """
    try:
        name, given = read_call(source)
        if name not in functions:
            near = difflib.get_close_matches(name, functions, 2, 0.4)
            raise LessonError(
                f"{name!r} is not a call of a lesson",
                mend=", ".join(EXAMPLES.get(each, each) for each in near) or ", ".join(functions),
            )
        paper = next((one for one in given if one.key == PAPER), None)
        given = [one for one in given if one.key != PAPER]
        check_arguments(name, functions[name], given)
        args = [one.value for one in given if not one.key]
        answer = functions[name](*args, **{one.key: one.value for one in given if one.key})
        return answer if paper is None else _on_paper(name, answer, paper)
    except HarmonyError as error:
        # A chord or a shape has a place within itself; an argument has one within the call.
        own = isinstance(error, LessonError)
        kind, place = (type(error), error.place) if own else (LessonError, None)
        raise kind(error.what, place=place, rule=error.rule, mend=error.mend) from None


def _on_paper(name: str, answer: Answer, paper: Given) -> Answer:
    """Return a figure or a table with the word whether it stands on the sheet."""
    place = Place(column=paper.column)
    if not isinstance(answer, Picture | Table):
        what = f"{name}() makes neither a figure nor a table and takes no {PAPER}"
        raise LessonError(what, place=place, mend=f"{name}() without {PAPER}")
    if paper.value not in ("yes", "no"):
        raise LessonError(f"{PAPER} is {paper.value!r}", place=place, mend=f'{PAPER}="no"')
    return replace(answer, paper=paper.value)


def placed(error: HarmonyError, place: Place) -> HarmonyError:
    """Return an error of a call with its place in the file, the caret under its argument.

    Parameters
    ----------
    error : HarmonyError
        Its own place, if any, has a column within the call.
    place : Place
        Of the call's braces.
    """
    column = place.column or 1
    if error.column > 1 and place.text:
        call = place.text[column + 1 :]
        column += 2 + len(call) - len(call.lstrip()) + error.column - 1
    at = Place(place.source, place.line, column, place.text)
    return type(error)(error.what, place=at, rule=error.rule, mend=error.mend)


def fill(body: Body, answers: Answers) -> tuple[Section, ...]:
    """Return the sections of a lesson, each call answered by ``answers``."""
    return tuple(_Assembler(body, answers).sections())


@dataclass(frozen=True, slots=True)
class _Line:
    """A line with its calls answered, its number, and where in it what calls gave stands."""

    text: str
    number: int
    put_in: tuple[tuple[int, int], ...] = ()


class _Assembler:
    def __init__(self, body: Body, answers: Answers) -> None:
        self.body, self.answers = body, answers
        self.title = self.paper = ""
        self.blocks: list[Block] = []
        self.text: list[_Line] = []

    def sections(self) -> Iterator[Section]:
        in_code = False
        for number, line in enumerate(self.body.lines):
            heading = HEADING.match(line) if not in_code else None
            if CODE_FENCE.match(line):
                in_code = not in_code
            if heading:
                yield from self._close()
                # Spaces for the signs before it: columns count from the start of the line.
                words = " " * heading.start(1) + heading[1]
                self.title = self._sentence(number, words).text.strip()
            elif in_code or not self._is_block(number, line):
                at = self.body.first_line + number
                self.text.append(_Line(line, at) if in_code else self._sentence(number, line))
        yield from self._close()

    def _is_block(self, number: int, line: str) -> bool:
        """Put in a call that stands alone on its line; say whether there was one."""
        found = CALL.fullmatch(line.strip())
        if found is None or "}}" in found[1]:
            return False
        answer = self._call(number, line.index("{{"), found[1])
        if isinstance(answer, OnPaper):
            self.paper = answer.word
        elif isinstance(answer, str):
            whole = ((0, len(answer)),)
            self.text.append(_Line(answer, self.body.first_line + number, whole))
        else:
            self._flush()
            self.blocks.append(answer)
        return True

    def _sentence(self, number: int, line: str) -> _Line:
        parts: list[str] = []
        put_in: list[tuple[int, int]] = []
        end = 0
        for found in CALL.finditer(line):
            answer = self._call(number, found.start(), found[1])
            if not isinstance(answer, str):
                answer = self._fault(
                    f"{{{{{found[1]}}}}} cannot stand in a sentence",
                    self.body.place(number, found.start()),
                    "such a call must be alone on its line",
                )
            parts += [line[end : found.start()], answer]
            stop = sum(map(len, parts))
            put_in.append((stop - len(answer), stop))
            end = found.end()
        rest = line[end:]
        if "{{" in rest:
            place = self.body.place(number, end + rest.index("{{"))
            unclosed = self._fault(
                "this call has no closing braces", place, "a call ends with }} on the same line"
            )
            rest = rest.replace("{{", f"{unclosed} ", 1)
        at = self.body.first_line + number
        return _Line("".join([*parts, rest]), at, tuple(put_in))

    def _call(self, number: int, column: int, source: str) -> Answer:
        return self.answers.answer(self.body.place(number, column), source)

    def _fault(self, what: str, place: Place, rule: str) -> str:
        return self.answers.fault(LessonError(what, place=place, rule=rule))

    def _flush(self) -> None:
        while self.text and not self.text[0].text:
            del self.text[0]
        markdown = "\n".join(line.text for line in self.text).rstrip("\n")
        if markdown.strip():
            lines, put_in, start = tuple(line.number for line in self.text), [], 0
            for line in self.text:
                put_in += [(start + a, start + b) for a, b in line.put_in]
                start += len(line.text) + 1
            self.blocks.append(Text(markdown, lines=lines, put_in=tuple(put_in)))
        self.text = []

    def _close(self) -> Iterator[Section]:
        self._flush()
        if self.title or self.blocks:
            yield Section(self.title, tuple(self.blocks), self.paper)
        self.title, self.blocks, self.paper = "", [], ""


def read_call(source: str) -> tuple[str, list[Given]]:
    """Read one call of a name with literal arguments, each with the column at which it stands.

    A call by the name that it had in an earlier version is read as the one of today.

    Raises
    ------
    LessonError
        For anything else.

    Examples
    --------
    >>> name, given = read_call(' diagram("2213", marks="roles") ')
    >>> name, [(one.key, one.value) for one in given]
    ('diagram', [('', '2213'), ('marks', 'roles')])
    """
    text = source.strip()
    try:
        tree = ast.parse(text, mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise LessonError(f"{text!r} is not a call", rule=_RULE, mend=_EXAMPLE) from None
    if not isinstance(tree, ast.Call) or not isinstance(tree.func, ast.Name):
        raise LessonError(f"{text!r} is not a call", rule=_RULE, mend=_EXAMPLE)
    given = [Given(_literal(node), "", _column(text, node)) for node in tree.args]
    given += [Given(_literal(w.value), _key(w), _column(text, w)) for w in tree.keywords]
    return FORMER["call"].get(tree.func.id, tree.func.id), given


def _column(text: str, node: ast.expr | ast.keyword) -> int:
    """Return where a node begins, counted in characters from 1 (``ast`` counts bytes)."""
    return len(text.encode()[: node.col_offset].decode(errors="ignore")) + 1


_RULE = "a call is name(...) with literal arguments: text in quotes, numbers, lists"
_EXAMPLE = '{{ diagram("2213", "F6") }}'


def _key(word: ast.keyword) -> str:
    if word.arg is None:
        raise LessonError("** is not allowed in a call", rule=_RULE)
    return word.arg


def _literal(node: ast.expr) -> Any:
    if isinstance(node, ast.Constant) and isinstance(node.value, str | int | float | bool):
        return node.value
    if isinstance(node, ast.List | ast.Tuple):
        return [_literal(item) for item in node.elts]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        number = _literal(node.operand)
        if isinstance(number, int | float):
            return -number
    raise LessonError(f"{ast.unparse(node)!r} is not a literal", rule=_RULE, mend=_EXAMPLE)
