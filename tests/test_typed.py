"""What a type checker makes of the public names: the examples, as a user would type them.

One run of mypy, as strict as ours, over a file of all examples in docstrings and README, and over
what must be refused.
"""

from __future__ import annotations

import doctest
import inspect
import re
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

import harmonykit as hk

ROOT = Path(__file__).resolve().parents[1]
START = "import harmonykit as hk\n"
PACKAGES = {"hk": hk}
PACKAGES |= {f"hk.{n}": v for n in hk.__all__ if isinstance(v := getattr(hk, n), ModuleType)}
NAMES = [
    f"{package}.{name}"
    for package, module in PACKAGES.items()
    for name in module.__all__
    if not isinstance(getattr(module, name), ModuleType)
]
# Each with what is said of it.
WRONG = {
    "hk.Kord": "has no attribute",
    "hk.draw.clok": "has no attribute",
    "hk.draw.draw_clock": "has no attribute",
    "hk.chord_scale": "has no attribute",
    "hk.parents(7)": "arg-type",
    "hk.distance('C', 'Am7').upper()": "has no attribute",
    "hk.Chord.parse('C').colour": "has no attribute",
    "hk.practice.ask('spelling')": "arg-type",
}


def documented() -> Iterator[tuple[str, str]]:
    """What is said of each public name, and of what is public in a class."""
    for package, module in PACKAGES.items():
        for name in module.__all__:
            value = inspect.unwrap(value) if callable(value := getattr(module, name)) else value
            if isinstance(value, ModuleType) or not (inspect.isclass(value) or callable(value)):
                continue
            yield f"{package}.{name}", inspect.getdoc(value) or ""
            for inner, member in vars(value).items() if inspect.isclass(value) else ():
                member = getattr(member, "fget", None) or getattr(member, "__func__", member)
                if inspect.isfunction(member) and not inner.startswith("_"):
                    yield f"{package}.{name}.{inner}", inspect.getdoc(member) or ""


def examples() -> str:
    """All examples as one file, a function for each text."""
    parser = doctest.DocTestParser()
    texts = [*documented(), ("README", (ROOT / "README.md").read_text(encoding="utf-8"))]
    parts = []
    for name, said in dict(texts).items():
        code = "".join(example.source for example in parser.get_examples(said))
        if code:
            body = textwrap.indent(code.replace(START, ""), "    ")
            called = re.sub(r"\W", "_", name)
            parts.append(f"def {called}() -> None:\n{body}\n")
    return START + "\n\n".join(parts)


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("typed")
    (folder / "examples.py").write_text(examples(), encoding="utf-8")
    shown = "".join(f"reveal_type({name})\n" for name in NAMES)
    (folder / "shown.py").write_text(START + shown, encoding="utf-8")
    (folder / "wrong.py").write_text(START + "\n".join(WRONG) + "\n", encoding="utf-8")
    files = [str(folder / name) for name in ("examples.py", "shown.py", "wrong.py")]
    options = ["--no-error-summary", "--hide-error-context", "--no-pretty"]
    mypy = [sys.executable, "-m", "mypy", *options, *files]
    return subprocess.run(mypy, cwd=ROOT, capture_output=True, text=True, check=False).stdout


def about(said: str, file: str) -> list[str]:
    """The lines about a file, from the number of the line on; more is said in notes."""
    lines = [line.partition(f"{file}:")[2] for line in said.splitlines() if f"{file}:" in line]
    return [line for line in lines if "error:" in line or "Revealed" in line]


def test_the_examples_pass_a_strict_type_checker(said: str) -> None:
    assert examples().count("def ") > 200
    assert about(said, "examples.py") == []


def test_the_type_of_every_public_name_is_seen(said: str) -> None:
    shown = {int(line.partition(":")[0]): line for line in about(said, "shown.py")}
    assert len(shown) == len(NAMES)
    for number, name in enumerate(NAMES, start=2):
        kind = re.findall(r'is "(.*)"', shown[number])[0]
        named = re.sub(r"\*\*\w+: Any", "", kind)
        assert not re.search(r"^Any$|-> Any$|: Any\b", named), (name, kind)


def test_what_is_wrong_is_refused(said: str) -> None:
    found = {int(line.partition(":")[0]): line for line in about(said, "wrong.py")}
    for number, (line, reason) in enumerate(WRONG.items(), start=2):
        assert reason in found[number], line
