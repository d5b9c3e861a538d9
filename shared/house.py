"""The figures of the house: ``python3 shared/house.py`` prints files, lines, imports and circles.

With ``map`` it prints each file with its concept; ``map --write`` puts that into DEVELOPERS.md.

Code lines are those with code: no blank lines, comments or docstrings.  An import inside a
function counts.  A file is *reached* if a command, a notebook or a public name leads to it by
imports; ``tests/test_reachable.py`` and ``tests/test_floors.py`` hold that all are, and that no
files import each other in a circle.
"""

from __future__ import annotations

import ast
import io
import json
import sys
import tokenize
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
NAME = "harmonykit"
PAGE = ROOT / "DEVELOPERS.md"
FENCE = "```"
# From the ground up: a file imports from its own floor and from those before it.
FLOORS = (
    "",
    "values",
    "errors",
    "public",
    "paths",
    "files",
    "words",
    "theory",
    "evidence",
    "fretboard",
    "tune",
    "score",
    "arrange",
    "draw",
    "sound",
    "about",
    "ideas",
    "lesson",
    "practice",
    "workbook",
    "home",
    "cli",
)
_NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENDMARKER,
}
_DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
Graph = Mapping[str, frozenset[str]]


@dataclass(frozen=True)
class Module:
    """A file of the package: its dotted name, and what is in it."""

    name: str
    path: Path

    @cached_property
    def source(self) -> str:
        """The text of the file."""
        return self.path.read_text(encoding="utf-8")

    @cached_property
    def tree(self) -> ast.Module:
        """The file as Python reads it."""
        return ast.parse(self.source)

    @property
    def floor(self) -> str:
        """The part of the package that it stands in; empty for the package itself."""
        return (self.name.split(".") + [""])[1]

    @property
    def concept(self) -> str:
        """The first line of its docstring."""
        return (ast.get_docstring(self.tree) or "").partition("\n")[0]

    @cached_property
    def imported(self) -> tuple[tuple[int, str], ...]:
        """The line and the dotted name of everything that it imports."""
        return tuple(self._imported())

    def _imported(self) -> Iterator[tuple[int, str]]:
        package = self.name.split(".")
        if self.path.name != "__init__.py":
            package = package[:-1]
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Import):
                yield from ((node.lineno, alias.name) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                base = package[: len(package) + 1 - node.level] if node.level else []
                start = ".".join([*base, *([node.module] if node.module else [])])
                yield from ((node.lineno, f"{start}.{alias.name}") for alias in node.names)

    def code_lines(self) -> set[int]:
        """Return the numbers of the lines with code."""
        lines: set[int] = set()
        for token in tokenize.generate_tokens(io.StringIO(self.source).readline):
            if token.type not in _NO_CODE:
                lines.update(range(token.start[0], token.end[0] + 1))
        for node in ast.walk(self.tree):
            if isinstance(node, _DOCUMENTED) and ast.get_docstring(node) is not None:
                lines.difference_update(_span(node.body[0]))
        return lines

    def import_lines(self) -> set[int]:
        """Return the numbers of the lines that import."""
        nodes = (n for n in ast.walk(self.tree) if isinstance(n, ast.Import | ast.ImportFrom))
        return {line for node in nodes for line in _span(node)}


def _span(node: ast.stmt) -> range:
    return range(node.lineno, (node.end_lineno or node.lineno) + 1)


def modules(top: Path = ROOT) -> dict[str, Module]:
    """Return the files of the package in a checkout by their dotted names."""
    found = {}
    for path in sorted((top / NAME).rglob("*.py")):
        parts = path.relative_to(top).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = Module(name, path)
    return found


@cache
def ours() -> dict[str, Module]:
    """Return the files of this checkout, read once."""
    return modules()


def graph(found: Mapping[str, Module]) -> Graph:
    """Return which files each file imports, itself and the lazy top left out."""
    return {
        name: frozenset(
            target
            for _, each in module.imported
            if (target := _module_of(each, found)) not in ("", name, NAME)
        )
        for name, module in found.items()
    }


def _module_of(name: str, found: Mapping[str, Module]) -> str:
    while name and name not in found:
        name = name.rpartition(".")[0]
    return name


def circles(imports: Graph) -> list[list[str]]:
    """Return each set of files that import one another in a circle, sorted."""
    ahead = {name: reached(imports[name], imports, packages=False) for name in imports}
    rings = {
        frozenset({name, *(other for other in ahead[name] if name in ahead[other])})
        for name in imports
    }
    return sorted(sorted(ring) for ring in rings if len(ring) > 1)


def reached(starts: Iterable[str], imports: Graph, *, packages: bool = True) -> set[str]:
    """Return the files to which some files lead, by any number of imports, with themselves.

    What opens a file opens the packages around it too, where ``packages`` are counted.
    """
    seen: set[str] = set()
    waiting = list(starts)
    while waiting:
        name = waiting.pop()
        if name and name not in seen:
            seen.add(name)
            waiting += imports.get(name, ())
            if packages:
                waiting.append(name.rpartition(".")[0])
    return seen


def entrances(found: Mapping[str, Module], top: Path = ROOT) -> set[str]:
    """Return the files that a command, a notebook or a public name opens."""
    names = {name for name in found if name.split(".")[1:2] in (["cli"], ["__main__"])}
    names |= {_module_of(name, found) for _, name in found[NAME].imported}
    for typed in _cells(top):
        names |= {_module_of(name, found) for name in _named(typed)}
    return names - {""}


def _cells(top: Path) -> Iterator[str]:
    """Give the code of every cell of the notebooks."""
    for path in (top / "notebooks").glob("*.ipynb"):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            if cell["cell_type"] == "code":
                yield "".join(cell["source"])


def _plain(code: str) -> str:
    return "\n".join(line for line in code.splitlines() if not line.startswith(("%", "!")))


def _named(code: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(_plain(code))):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def unused(found: Mapping[str, Module], top: Path = ROOT) -> list[str]:
    """Return the public functions and classes that no other line of package or notebooks names.

    A name counts wherever it is read, also as an attribute or as the text of a public name; an
    import by itself does not, nor does what a definition says of itself.
    """
    trees = [module.tree for module in found.values()]
    trees += [ast.parse(_plain(typed)) for typed in _cells(top)]
    read = Counter(name for tree in trees for name in _read(tree))
    said = {ast.unparse(node) for tree in trees for node in _attributes(tree)}
    public = {name for name, typed in _public_names(found) if typed in said}
    return sorted(
        f"{module.name}.{node.name}"
        for module in found.values()
        for node in module.tree.body
        if isinstance(node, ast.ClassDef | ast.FunctionDef)
        and not node.name.startswith("_")
        and f"{module.name}.{node.name}" not in public
        and not any("app" in _read(decorator) for decorator in node.decorator_list)
        and read[node.name] <= Counter(_read(node))[node.name]
    )


def _attributes(tree: ast.AST) -> Iterator[ast.Attribute]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.Attribute))


def _public_names(found: Mapping[str, Module]) -> Iterator[tuple[str, str]]:
    """Give each name that a floor offers under another, and how it is typed: ``hk.draw.scale``."""
    for module in found.values():
        for node in ast.walk(module.tree):
            if isinstance(node, ast.ImportFrom) and module.name.count(".") == 1:
                for each in node.names:
                    typed = module.name.replace(NAME, "hk", 1)
                    yield f"{node.module}.{each.name}", f"{typed}.{each.asname}"


def _read(tree: ast.AST) -> Iterator[str]:
    """Give every name that is read in a piece of code."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def lone(imports: Graph) -> list[tuple[str, str]]:
    """Return the files with one importer that stands in the same folder, with it."""
    importers: dict[str, set[str]] = {}
    for name, targets in imports.items():
        for target in targets:
            importers.setdefault(target, set()).add(name)
    only = [(name, next(iter(them))) for name, them in importers.items() if len(them) == 1]
    return sorted(pair for pair in only if pair[0].rpartition(".")[0] == pair[1].rpartition(".")[0])


def table(found: Mapping[str, Module]) -> Iterator[str]:
    """Give the lines of the table: files, lines, lines of code, share of imports by floor."""
    counts: Counter[tuple[str, str]] = Counter()
    for module in found.values():
        code = module.code_lines()
        for floor in (module.floor or "(top)", "in all"):
            counts[floor, "files"] += 1
            counts[floor, "lines"] += len(module.source.splitlines())
            counts[floor, "code"] += len(code)
            counts[floor, "imports"] += len(code & module.import_lines())
    yield f"{'':12}{'files':>7}{'lines':>8}{'code':>8}{'imports':>9}"
    for floor in dict.fromkeys(floor for floor, _ in counts):
        if floor != "in all":
            yield _row(floor, counts)
    yield _row("in all", counts)


def _row(floor: str, counts: Mapping[tuple[str, str], int]) -> str:
    code = counts[floor, "code"]
    share = 100 * counts[floor, "imports"] / max(1, code)
    return f"{floor:12}{counts[floor, 'files']:7}{counts[floor, 'lines']:8}{code:8}{share:8.1f}%"


def tree_of(found: Mapping[str, Module], floors: Sequence[str] = FLOORS) -> Iterator[str]:
    """Give the map: each folder, and each file with its concept in a line, floor by floor."""
    place = {floor: number for number, floor in enumerate(floors)}
    for module in sorted(found.values(), key=lambda each: place.get(each.floor, len(place))):
        inner = module.path.name == "__init__.py"
        depth = module.name.count(".")
        file = module.path.parent.name + "/" if inner else module.path.name
        yield f"{'  ' * depth}{file:{max(1, 28 - 2 * depth)}} {module.concept}".rstrip()


def with_map(page: str, found: Mapping[str, Module]) -> str:
    """Return the developers' page with the map in the block at its end."""
    before, _, _ = page.rpartition(FENCE)[0].rpartition(FENCE)
    return f"{before}{FENCE}\n" + "\n".join(tree_of(found)) + f"\n{FENCE}\n"


def main(arguments: list[str]) -> int:
    """Print the figures, or with ``map`` the tree with each file's concept."""
    found = modules()
    if arguments == ["map"]:
        print("\n".join(tree_of(found)))
        return 0
    if arguments == ["map", "--write"]:
        text = with_map(PAGE.read_text(encoding="utf-8"), found)
        PAGE.write_text(text, encoding="utf-8")
        return 0
    imports = graph(found)
    print("\n".join(table(found)))
    rings = circles(imports)
    print(f"\ncircles: {len(rings)}")
    for ring in rings:
        print("  " + ", ".join(ring))
    lost = sorted(set(found) - reached(entrances(found), imports) - {NAME})
    print(f"reached by nothing: {len(lost)}")
    for name in lost:
        print("  " + name)
    pairs = lone(imports)
    print(f"with one importer, beside it: {len(pairs)}")
    for name, importer in pairs:
        print(f"  {name} <- {importer.rpartition('.')[2]}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
