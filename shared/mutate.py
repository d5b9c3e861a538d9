"""Change the code in small ways and see whether a test notices: ``start.py mutate FLOOR``.

Twenty mutants are drawn from the floor's files by a seed, the same ones each time.  Each is tried
in a copy of the checkout: first the examples and the tests of its own file, then, where they pass,
the floor's tests, without those that open a browser or are long.  A mutant that no test notices is
a missing test, or it changes nothing that anybody could see: ``shared/equivalent_mutants.tsv``
lists those, each with the reason.

::

    python3 shared/start.py mutate draw
    python3 shared/start.py mutate draw/shapes --count 50 --seed 2 --minutes 60
"""

from __future__ import annotations

import argparse
import ast
import compileall
import csv
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FROZEN = "tests/test_frozen.py"
EQUIVALENT = ROOT / "shared" / "equivalent_mutants.tsv"
MOST_SECONDS = 600
_COPIED = ("harmonykit", "tests", "data", "notebooks", "shared")
_FILES = ("pyproject.toml", "conftest.py", "README.md", "DEVELOPERS.md", "LICENSE")
# The sign of an operator, and the one that a mutant has in its place.
_SWAPPED: dict[type[ast.AST], tuple[str, str]] = {
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "*"),
    ast.Mod: ("%", "+"),
    ast.And: ("and", "or"),
    ast.Or: ("or", "and"),
}


@dataclass(frozen=True, slots=True, order=True)
class Mutant:
    """One small change: a file, from where to where (characters), and what comes there."""

    path: str
    start: int
    end: int
    new: str

    def of(self, source: str) -> str:
        """Return a file's text with the change in it."""
        return source[: self.start] + self.new + source[self.end :]

    def shown(self, source: str) -> tuple[int, str, str]:
        """Return the number of its line, the line, and what becomes of it."""
        number = source.count("\n", 0, self.start) + 1
        begin = source.rfind("\n", 0, self.start) + 1
        over = source.find("\n", self.end)
        changed = source[begin : self.start] + self.new + source[self.end : over]
        before, after = (" ".join(text.split()) for text in (source[begin:over], changed))
        return number, before, after


class _Finder(ast.NodeVisitor):
    """Every small change that a file offers."""

    def __init__(self, path: str, source: str) -> None:
        self.path, self.source = path, source
        self.found: list[Mutant] = []
        lines = source.splitlines(keepends=True)
        self._starts = [0]
        for line in lines:
            self._starts.append(self._starts[-1] + len(line))
        self._lines = lines
        self.visit(ast.parse(source))

    def _at(self, line: int, column: int) -> int:
        # Columns are counted in bytes.
        text = self._lines[line - 1].encode()[:column].decode()
        return self._starts[line - 1] + len(text)

    def _add(self, start: int, end: int, new: str) -> None:
        if self.source[start:end] != new:
            self.found.append(Mutant(self.path, start, end, new))

    def _span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        end_line, end_column = node.end_lineno or node.lineno, node.end_col_offset or 0
        return self._at(node.lineno, node.col_offset), self._at(end_line, end_column)

    def _operator(self, left: ast.expr, right: ast.expr, kind: ast.AST) -> None:
        """Change the sign that stands between two operands."""
        begin, end = self._span(left)[1], self._span(right)[0]
        between = self.source[begin:end]
        sign, other = _SWAPPED[type(kind)]
        place = between.find(sign)
        if place >= 0 and "#" not in between:
            self._add(begin + place, begin + place + len(sign), other)

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        for left, right, kind in zip(sides, sides[1:], node.ops, strict=False):
            self._operator(left, right, kind)
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        if type(node.op) in _SWAPPED:
            self._operator(node.left, node.right, node.op)
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        for left, right in zip(node.values, node.values[1:], strict=False):
            self._operator(left, right, node.op)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        start, end = self._span(node)
        inner = self._span(node.operand)
        if isinstance(node.op, ast.Not | ast.USub):
            self._add(start, end, f"({self.source[inner[0] : inner[1]]})")
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, bool):
            self._add(*self._span(node), repr(not node.value))
        elif isinstance(node.value, int):
            self._add(*self._span(node), str(node.value + 1))
        elif isinstance(node.value, float):
            self._add(*self._span(node), repr(node.value * 1.5 + 0.1))

    def visit_If(self, node: ast.If) -> None:
        start, end = self._span(node.test)
        self._add(start, end, f"not ({self.source[start:end]})")
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        start, end = self._span(node.test)
        self._add(start, end, f"not ({self.source[start:end]})")
        self.generic_visit(node)

    def visit_Return(self, node: ast.Return) -> None:
        if node.value is not None and not isinstance(node.value, ast.Constant):
            start, end = self._span(node.value)
            self._add(start, end, "None")
        self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Constant):
            return  # a docstring
        if isinstance(node.value, ast.Call):
            self._add(*self._span(node), "pass")
        self.generic_visit(node)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Leave the inside of f-strings alone: its places are not told exactly before 3.12."""

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for default in [*node.args.defaults, *node.args.kw_defaults]:
            if default is not None:
                self.visit(default)
        for each in node.body:
            self.visit(each)


def mutants(path: str, source: str) -> list[Mutant]:
    """Return every small change that a file offers, in the order of the file.

    Examples
    --------
    >>> sorted(each.of("x = a < 2") for each in mutants("m.py", "x = a < 2"))
    ['x = a < 3', 'x = a <= 2']
    """
    return sorted(set(_Finder(path, source).found))


def drawn(floor: str, count: int, seed: int, top: Path = ROOT) -> list[Mutant]:
    """Draw mutants of a floor, a folder or a file of one: all its changes are equally likely."""
    place = top / "harmonykit" / floor
    files = sorted(place.rglob("*.py")) or [place.with_suffix(".py")]
    every = [
        each
        for path in files
        for each in mutants(path.relative_to(top).as_posix(), path.read_text("utf-8"))
    ]
    chance = random.Random(f"{floor} {seed}")
    chosen: dict[Mutant, None] = {}
    while len(chosen) < min(count, len(every)):
        chosen[chance.choice(every)] = None
    return list(chosen)


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of the checkout in which mutants are tried."""

    top: Path

    @classmethod
    def made(cls, top: Path) -> Copy:
        """Return a copy of the project below a folder, for mutants to be written into."""
        for name in _COPIED:
            ignored = shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints")
            shutil.copytree(ROOT / name, top / name, ignore=ignored)
        for name in _FILES:
            shutil.copy(ROOT / name, top)
        # Compiled once: the tests of a mutant write nothing, and its own file is newer.
        compileall.compile_dir(top / "harmonykit", quiet=2)
        return cls(top)

    def own_tests(self, mutant: Mutant) -> list[str]:
        """Return the file itself, for its examples, and the test files that bear its name.

        Where none does, they are those of its folder.  The law that all values of the floor are
        frozen is tried with them.
        """
        path = Path(mutant.path)
        folder = self.top / "tests" / path.relative_to("harmonykit").parent
        own = sorted(folder.glob(f"test_{path.stem}.py")) + sorted(
            folder.glob(f"test_{path.stem}_*.py")
        )
        own = own or sorted(folder.glob("test_*.py"))
        named = [each for each in own if "browser" not in each.name]
        paths = [each.relative_to(self.top).as_posix() for each in named]
        floor = Path(self.floor_tests(mutant)[0]).name
        lawful = (self.top / FROZEN).is_file() and (self.top / "harmonykit" / floor).is_dir()
        law = f"{FROZEN}::test_values_are_frozen[{floor}]"
        return [mutant.path, *paths, *[law] * lawful]

    def floor_tests(self, mutant: Mutant) -> list[str]:
        """Return the folder of tests of the mutant's floor."""
        return [f"tests/{Path(mutant.path).parts[1].removesuffix('.py')}"]

    def fails(self, tests: Sequence[str], seconds: float) -> bool | None:
        """Whether the tests notice; nothing where the time is over before they know."""
        command = [sys.executable, "-m", "pytest", "-q", "-x", "--no-header"]
        command += ["-p", "no:cacheprovider", "-m", "not long and not browser", *tests]
        if tests[0].startswith("tests/"):
            command += ["-p", "xdist", "-n", str(len(os.sched_getaffinity(0)))]
        # What plugins there are costs more than most files of tests.
        where = {**os.environ, "PYTHONPATH": str(self.top), "PYTHONDONTWRITEBYTECODE": "1"}
        where["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
        try:
            done = subprocess.run(
                command, cwd=self.top, env=where, capture_output=True, timeout=seconds
            )
        except subprocess.TimeoutExpired:
            return None
        return done.returncode not in (0, 5)


def tried(copy: Copy, mutant: Mutant, until: float, *, own: bool = False) -> str:
    """Put a mutant into the copy, run the tests, and take it out; say what noticed it.

    With ``own`` the floor's tests are left out.
    """
    path = copy.top / mutant.path
    source = path.read_text("utf-8")
    path.write_text(mutant.of(source), "utf-8")
    rounds = [("its own", copy.own_tests(mutant)), ("its floor", copy.floor_tests(mutant))]
    try:
        for name, tests in rounds[:1] if own else rounds:
            left = until - time.monotonic()
            if left <= 0:
                return "not tried"
            noticed = copy.fails(tests, min(left, MOST_SECONDS))
            if noticed or (noticed is None and left > MOST_SECONDS):
                return name  # what never ends is noticed too
            if noticed is None:
                return "not tried"
        return ""
    finally:
        path.write_text(source, "utf-8")


def judged() -> dict[tuple[str, str, str], str]:
    """Return the changes that were judged to change nothing, with the reasons."""
    if not EQUIVALENT.is_file():
        return {}
    with EQUIVALENT.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE)
        return {(row["file"], row["line"], row["mutant"]): row["why"] for row in rows}


def report(asked: argparse.Namespace) -> Iterator[str]:
    """Try mutants and give a line for each, then the sum."""
    until = time.monotonic() + 60 * asked.minutes
    known = judged()
    sums = {"noticed": 0, "lives": 0, "equivalent": 0, "not tried": 0}
    with tempfile.TemporaryDirectory() as folder:
        copy = Copy.made(Path(folder))
        for mutant in drawn(asked.floor, asked.count, asked.seed):
            source = (ROOT / mutant.path).read_text("utf-8")
            number, before, after = mutant.shown(source)
            key = (mutant.path, before, after)
            said = "equivalent" if key in known else tried(copy, mutant, until, own=asked.own)
            kind = said if said in sums else "noticed" if said else "lives"
            sums[kind] += 1
            yield f"{kind:10} {mutant.path}:{number}: {before}  ->  {after}"
    judged_ones = sums["noticed"] + sums["lives"]
    share = 100 * sums["noticed"] / max(1, judged_ones)
    yield ""
    yield f"{asked.floor}: {sums['noticed']} of {judged_ones} noticed ({share:.0f} %)"
    yield ", ".join(f"{name}: {number}" for name, number in sums.items())


def main(arguments: Sequence[str]) -> int:
    """Read the command line, try the mutants, and say what came of them."""
    about = (__doc__ or "").partition("\n")[0]
    parser = argparse.ArgumentParser(prog="start.py mutate", description=about)
    parser.add_argument("floor", help="such as draw, or a folder or file of it: draw/shapes")
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=45)
    parser.add_argument("--own", action="store_true", help="only the tests of each mutant's file")
    asked = parser.parse_args(arguments)
    if not drawn(asked.floor, 1, asked.seed):
        parser.error(f"there is no harmonykit/{asked.floor}")
    for line in report(asked):
        print(line, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
