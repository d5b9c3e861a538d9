"""A class's codes as a table: who practised what, how long, how it went, what was mixed up."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from harmonykit.errors import HarmonyError, attempt
from harmonykit.files import manifest, read_text, table
from harmonykit.home.codes import ORDER, Results, read_code
from harmonykit.lesson.page import shell
from harmonykit.practice.kinds import KINDS
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted, join_words

MOST_CODES = 5_000
NOBODY = "no name"
_HEAD = ("student", "page", "last answer", "minutes", "answers", "right", "per cent right")
_MOST_BYTES = 4_000_000
_BEFORE = re.compile(r"^.*[:;,]\s*")
# A code as a page writes it, whatever else is on its line: "Ada B76J-BBHA-AABA-GUKD, thanks".
_GROUPS = re.compile(r"(?<![\w-])(?:[A-Z0-9]{4}-){2,}[A-Z0-9]{1,4}(?![\w-])", re.I)
_NAME = re.compile(r"[-*•\d.)\s]*([^\W\d_][\w'’.-]*(?: [^\W\d_][\w'’.-]*){0,3}) ?[:;,–—=-]?")
_NO_NAME = frozenset(
    (
        *"hello hi hey here code codes my mine is the a this that from on sent page".split(),
        *"results result hallo mein meine ergebnis hier miss sir dear yes thanks for".split(),
    )
)
_MOST_TOLD = 3
_MOST_NAMES = 4


@dataclass(frozen=True, slots=True)
class ClassTable:
    """What the codes of a class say.

    Parameters
    ----------
    results : tuple of Results
        One of each student and page, the one with the most answers, by name.
    older : int
        How many codes were left out, since a later one of the same student was there.
    refused : tuple of str
        What was said of codes that could not be read.
    again : int
        How many codes were there once more, and were counted once.
    """

    results: tuple[Results, ...]
    older: int
    refused: tuple[str, ...]
    again: int = 0

    @property
    def header(self) -> tuple[str, ...]:
        """The names of the columns."""
        return (*_HEAD, *(KINDS[kind].title for kind in self._kinds), "taken for one another")

    @property
    def rows(self) -> list[tuple[object, ...]]:
        """A row for each student and page."""
        return [self._row(each) for each in self.results]

    @property
    def _kinds(self) -> list[str]:
        met = {each.kind for one in self.results for each in one.kinds}
        return [kind for kind in ORDER if kind in met]

    def _row(self, one: Results) -> tuple[object, ...]:
        went = {each.kind: f"{each.right} of {each.asked}" for each in one.kinds}
        share = round(100 * one.right / one.asked) if one.asked else None
        about = (one.student or NOBODY, one.page, one.day.isoformat(), one.minutes)
        mixed = "; ".join(map(str, one.confusions))
        kinds = (went.get(kind) for kind in self._kinds)
        return (*about, one.asked, one.right, share, *kinds, mixed)

    @property
    def shared(self) -> list[tuple[str, int]]:
        """What several students took for one another, and how many of them; most first."""
        pairs = Counter(
            " and ".join(sorted({each.right, each.given}))
            for one in self.results
            for each in one.confusions
        )
        return [(pair, many) for pair, many in pairs.most_common(_MOST_TOLD) if many > 1]

    def told(self) -> Iterator[str]:
        """Yield lines for a terminal."""
        for one in self.results:
            share = f"{one.right} of {one.asked} right"
            minutes = counted(one.minutes, "minute")
            yield f"{one.student or NOBODY}, page {one.page}: {share}, {minutes}, last {one.day}"
            if one.confusions:
                yield f"  took {'; '.join(map(str, one.confusions))}"
        for pair, many in self.shared:
            yield f"taken for one another by {many} students: {pair}"
        if self.older:
            yield f"left out: {counted(self.older, 'earlier code')} of the same students"
        if self.again:
            yield f"left out: {counted(self.again, 'code')} that stood here before"

    def write(self, path: Path) -> None:
        """Write the table as CSV, or as a page where the file's name ends in ``.html``.

        Raises
        ------
        HarmonyError
            If the name ends in something else, or the file cannot be written.
        """
        match path.suffix.lower():
            case ".csv":
                manifest.write_beside(path, table.csv_text(self.header, self.rows))
            case ".html":
                manifest.write_beside(path, self.page())
            case other:
                raise HarmonyError(
                    f"a table cannot be written as {other or 'a file without an ending'}",
                    rule="CSV for a spreadsheet, HTML to read or print",
                    mend="--out class.csv",
                )

    def page(self) -> str:
        """Return the table as a page."""
        style = shell.base_css() + shell.shared_text("results.css")
        return shell.template("results.html.jinja").render(
            style=style,
            policy=shell.policy("", style),
            header=self.header,
            rows=self.rows,
            shared=self.shared,
            refused=self.refused,
        )


def read_codes(given: Iterable[str]) -> ClassTable:
    """Return the table of codes, or of files with a code a line.

    Lines may be copied as they were sent.  A name before a code is the student's, where the code
    holds none: "Ada: B76J-BBHA"; other words are left out.  A code that is there more than once
    counts once.

    Parameters
    ----------
    given : iterable of str

    Raises
    ------
    HarmonyError
        If a file cannot be read, or there are no codes, or too many.
    """
    found: list[Results] = []
    called: dict[Results, str] = {}
    refused: list[str] = []
    names = tuple(given)
    lines = [line for each in names for line in _lines(each)]
    if not lines:
        raise HarmonyError(
            f"no code in {join_words(names) or 'what was given'}",
            rule="a line for each code, as a student copies it from a page of questions",
            mend="paste the codes into that file, save it, and run this again",
        )
    if len(lines) > MOST_CODES:
        raise HarmonyError(f"{len(lines)} codes", rule=f"{MOST_CODES} at most at once")
    for line in lines:
        try:
            before, code = _parted(line)
            results = read_code(code)
            found.append(results)
            called[results] = called.get(results) or results.student or _name_in(before)
        except HarmonyError as error:
            refused.append(str(error))
    once = [replace(results, student=name) for results, name in called.items()]
    best = _latest(once)
    return ClassTable(best, len(once) - len(best), tuple(refused), len(found) - len(once))


def _parted(line: str) -> tuple[str, str]:
    """Return what stands before a code, and the code, whose groups may have blanks between them."""
    if groups := _GROUPS.search(line):
        return line[: groups.start()], groups[0]
    before = "".join(_BEFORE.findall(line))
    words = line[len(before) :].split()
    for count in range(min(len(words), _MOST_NAMES) + 1):
        code = " ".join(words[count:])
        if attempt(read_code, code):
            return " ".join([before, *words[:count]]), code
    return before, line[len(before) :]


def _name_in(before: str) -> str:
    """Return the name that stands before a code; nothing where other words do.

    Examples
    --------
    >>> [_name_in(text) for text in ("Gudrun: ", "Old Tom ", "Hello, my code: ", "from my phone ")]
    ['Gudrun', 'Old Tom', '', '']
    """
    found = _NAME.fullmatch(before.strip())
    words = found[1].split() if found else []
    if not words or not _NO_NAME.isdisjoint(word.lower() for word in words):
        return ""
    return " ".join(words) if words[0][0].isupper() or before.strip().endswith(":") else ""


def _lines(given: str) -> Sequence[str]:
    path = Path(given)
    if path.suffix.lower() in (".txt", ".csv", ".md"):
        text = read_text(path, _MOST_BYTES)
        return [line.strip() for line in text.splitlines() if line.strip()]
    return [given]


def _latest(found: Iterable[Results]) -> tuple[Results, ...]:
    """Return of each student and page the results with most answers; who has no name stays."""
    best: dict[object, Results] = {}
    for number, each in enumerate(found):
        key: object = (each.student.casefold(), each.page) if each.student else number
        if key not in best or each.asked >= best[key].asked:
            best[key] = each
    return tuple(sorted(best.values(), key=lambda each: (each.student.casefold(), each.page)))
