"""The move that the contributor's guide shows as an example is the one in the tree, and works."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from types import ModuleType

import pytest
from small_tunes import EAGER, tune_of

from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import Instrument


def blocks(root: Path) -> list[str]:
    """Return the Python of the guide's section."""
    guide = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = guide.split("## Adding a move\n", 1)[1].split("\n## ", 1)[0]
    return re.findall(r"^```python\n(.*?)^```$", section, flags=re.DOTALL | re.MULTILINE)


@pytest.fixture
def example(root: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """Put the example's move into the table, and return the example's test."""
    source, test = blocks(root)
    module = ModuleType("descending passing diminished")
    monkeypatch.setitem(sys.modules, "descending passing diminished", module)
    exec(compile(source, "descending.py", "exec"), module.__dict__)
    monkeypatch.setitem(MOVES, "descending passing diminished", module.Descending())
    return test


def test_the_example_is_the_file_in_the_tree(root: Path) -> None:
    source, test = blocks(root)
    name = "leading_tone.py"
    module = (root / "harmonykit" / "arrange" / "moves" / name).read_text(encoding="utf-8")
    assert source[source.index("@dataclass") :].strip() in module
    tests = (root / "tests" / "arrange" / "moves" / f"test_{name}").read_text(encoding="utf-8")
    assert test.split("\n\n\n", 1)[1].strip() in tests


def test_the_examples_own_tests_pass(example: str) -> None:
    names: dict[str, object] = {}
    exec(compile(example, "test_descending.py", "exec"), names)
    tests = [found for name, found in names.items() if name.startswith("test_")]
    assert len(tests) == 2
    for test in tests:
        assert callable(test)
        test()


def test_the_search_uses_it_and_says_what_moves(example: str) -> None:
    (best,) = reharmonise(
        tune_of("| Em7 | Dm7 | G7 |"),
        Instrument.named("ukulele"),
        ["descending passing diminished"],
        1,
        wishes=Wishes(weights=EAGER),
    )
    (step,) = best.added
    assert (str(step.chord), step.onset, step.beats) == ("Ebdim7", 2, 2)
    # Root first, then every note of the shape: E flat, G flat, A (B double flat) and C.
    said = re.findall(
        r"([A-G]♭?) (?:rises|falls|stays)", step.reason.split("; in these shapes ")[1]
    )
    assert said[0] == "E♭" and sorted(said[1:]) == ["A", "C", "G♭"]
    assert step.reason.startswith(
        "E♭°7 passes down to Dm7: its root is a half step above D; in these shapes E♭ "
    )
