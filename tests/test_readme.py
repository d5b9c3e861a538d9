"""What the readme promises: its commands run, its example runs, its files are there."""

from __future__ import annotations

import doctest
import re
import shlex
from pathlib import Path

import pytest

from harmonykit import cli
from harmonykit.arrange.idioms.reading import read_idioms
from harmonykit.arrange.idioms.standing import find_idioms
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.lesson.build import load_lesson
from harmonykit.paths import find_data
from harmonykit.sound.rendering import Sound, write_wav
from harmonykit.tune.tune import Tune

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DATA = (ROOT / "data" / "README.md").read_text(encoding="utf-8")
LINES = re.findall(r"^python3 shared/start\.py (.+)$", README, flags=re.MULTILINE)
NAMED = re.findall(r"python3 shared/start\.py (\w+)", README)
TOURS = ("For a teacher", "For a student", "For an arranger")


def section(heading: str, text: str = README) -> str:
    return text.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]


# As the help of "results" has it.
CODE = "B76J-BBHA-AABA-GUKD-J6T6-QXPH-X"


def commands(text: str) -> list[str]:
    return re.findall(r"^python3 shared/start\.py (.+)$", text, flags=re.MULTILINE)


def block(text: str, kind: str = "") -> str:
    found = re.search(rf"^```{kind}\n(.+?)^```$", text, re.MULTILINE | re.DOTALL)
    assert found
    return found[1]


def test_it_opens_with_the_job_and_then_the_two_commands() -> None:
    title, job, lines, *_ = README.split("\n\n")
    assert title == "# harmonykit"
    assert len(job.split()) > 60
    assert max(len(sentence.split()) for sentence in re.split(r"[.:] ", job)) <= 25
    assert re.fullmatch(r"```\n.*start\.py lesson \S+.*\n.*start\.py test\n```", lines)


def test_its_commands_exist() -> None:
    assert set(NAMED) <= {*cli.app.commands, "test", "bench", "reference"}


def test_the_lesson_that_it_builds_ships() -> None:
    lesson = next(line.split()[1] for line in LINES if line.startswith("lesson "))
    assert find_data("lessons", lesson).is_file()


def test_each_of_three_people_has_a_tour() -> None:
    assert sum(len(commands(section(tour))) for tour in TOURS) == len(LINES) - 2
    assert all(len(commands(section(tour))) >= 4 for tour in TOURS)


@pytest.mark.parametrize("tour", TOURS)
def test_its_commands_run(tour: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One after the other, as a reader types them in an empty folder."""
    monkeypatch.chdir(tmp_path)
    answer = block(section("For a teacher"), "toml")
    (tmp_path / "my-answer.toml").write_text(answer, encoding="utf-8")
    if "codes.txt" in section(tour):
        (tmp_path / "codes.txt").write_text(f"{CODE}\n", encoding="utf-8")
    if "my-playing.wav" in section(tour):
        played = load_lesson("stiff_dominant").played[1].performance
        write_wav(tmp_path / "my-playing.wav", Sound(played, 11_025))
    for line in commands(section(tour)):
        words = shlex.split(line)
        with pytest.raises(SystemExit) as left:
            cli.main(words)
        assert left.value.code == 0, line
        if "--out" in words:
            assert (tmp_path / words[words.index("--out") + 1]).exists(), line


def test_its_example_runs() -> None:
    ran = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert ran.attempted > 0
    assert ran.failed == 0


def test_its_message_is_a_tune() -> None:
    tune = Tune.parse(block(section("A tune as text")))
    assert (tune.title, str(tune.key), tune.meter) == ("Low Tide Rag", "F major", (3, 4))
    # A has 2 + 2 bars, then 2 + 2 with the second ending, which ends it after B, too (by hand).
    numbers = [place.bar.number for place in tune.playing]
    assert numbers == [1, 2, 3, 4, 1, 2, 5, 6, 7, 8, 9, 10, 1, 2, 5, 6]
    assert tune.doubts == ()


def test_the_text_form_that_the_data_explains_is_read() -> None:
    tune = Tune.parse(block(DATA, "toml"))
    assert (tune.title, tune.pickup, len(tune.bars)) == ("Slipway Air", 1, 6)
    assert len(tune.melody) == 2 * 5
    assert [word.text for word in tune.melody[0].words] == ["Row"]


# What the tables of data/README.md show, each as a tune: nothing in them is refused.
TYPED = [
    cell.replace("\\|", "|")
    for cell in re.findall(r"^\| `(.+?)`", DATA, flags=re.MULTILINE)
    if "..." not in cell
]


@pytest.mark.parametrize("typed", TYPED)
def test_what_the_tables_show_can_be_typed(typed: str) -> None:
    signs = typed.startswith(("{segno", "{fermata"))
    bar = f"| F {typed} | F |" if signs or typed in (".", "%", "%%", "-", "N.C.") else typed
    text = f"| C | D | E7 | Am |\n{'| ' + bar + ' |' if '|' not in bar else bar}"
    if typed[:1].isalpha() and typed not in ("N.C.",):
        text = f"{typed}\n| C | G7 |"
    assert Tune.parse(text).bars


def test_the_file_of_idioms_in_the_data_readme_is_read_and_used(tmp_path: Path) -> None:
    own = tmp_path / "idioms.toml"
    own.write_text(block(section("Idioms of your own", DATA), "toml"), encoding="utf-8")
    adds, found = read_idioms(own).values()
    assert adds.after and not found.after
    places = find_idioms("| C6 | F6 | C6 |", idioms={found.name: found})
    assert [place.idiom for place in places] == [found.name]
    ways = reharmonise("| C6 | G7 | C6 |", "ukulele", [adds.name], wishes=Wishes(idioms=(adds,)))
    assert any(str(step.chord) == "Fm6" for way in ways for step in way.added)
