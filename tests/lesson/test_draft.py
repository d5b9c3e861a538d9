"""A first draft builds as it is, on any tune and instrument."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.cli import main
from harmonykit.cli.lesson import changes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft import draft, write_draft
from harmonykit.lesson.ideas import IDEAS, Idea
from harmonykit.paths import find_data, shipped
from harmonykit.tune.tune import Tune


@pytest.mark.parametrize("idea", IDEAS.values(), ids=lambda idea: str(idea.name))
@pytest.mark.parametrize("instrument", ["ukulele", "baritone ukulele", "guitar"])
@pytest.mark.parametrize("name", shipped("tunes"))
def test_a_draft_is_a_lesson(tmp_path: Path, name: str, instrument: str, idea: Idea) -> None:
    tune = Tune.read(find_data("tunes", name))
    path = tmp_path / "new.md"
    path.write_text(draft(tune, name, Instrument.named(instrument), idea=idea), encoding="utf-8")
    lesson = load_lesson(path)
    plain, *others = lesson.played
    assert lesson.front.tune == tune and not plain.arrangement.inserted
    assert all(played.arrangement.inserted for played in others)
    assert len(lesson.facts) >= 6
    titles = [section.title for section in lesson.sections]
    assert titles[0] == "The idea" and titles[-1] == "By numbers"


def test_a_minor_tune_climbs_a_minor_scale(tmp_path: Path) -> None:
    text = Path(find_data("tunes", "net_loft_shuffle")).read_text(encoding="utf-8")
    path = tmp_path / "minor.toml"
    path.write_text(text.replace('key = "C"', 'key = "A minor"'), encoding="utf-8")
    found = draft(Tune.read(path), str(path), Instrument.named("ukulele"))
    assert 'scale = "A minor"' in found and 'chord = "G#dim7"' in found


def test_titles_are_quoted_safely(tmp_path: Path) -> None:
    text = Path(find_data("tunes", "net_loft_shuffle")).read_text(encoding="utf-8")
    path = tmp_path / "odd.toml"
    title = r'title = "A \"quoted\" \\ title"'
    path.write_text(text.replace('title = "Net Loft Shuffle"', title), encoding="utf-8")
    tune = Tune.read(path)
    made = write_draft(tmp_path / "odd.md", tune, str(path), Instrument.named("ukulele"))
    assert load_lesson(made).front.title == f"Ways into {tune.title}"


def test_nothing_is_written_over(tmp_path: Path) -> None:
    path = tmp_path / "mine.md"
    path.write_text("my work", encoding="utf-8")
    tune = Tune.read(find_data("tunes", "net_loft_shuffle"))
    with pytest.raises(HarmonyError, match="there already"):
        write_draft(path, tune, "net_loft_shuffle", Instrument.named("ukulele"))
    assert path.read_text(encoding="utf-8") == "my work"


def test_the_command_says_what_to_do_next(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "new.md"
    with pytest.raises(SystemExit) as ended:
        main(["lesson", str(path), "--new", "slack_water_waltz"])
    assert ended.value.code == 0 and path.is_file()
    assert f"harmonykit lesson {path}" in capsys.readouterr().out


def test_a_change_is_seen(tmp_path: Path) -> None:
    path = tmp_path / "a.md"
    path.write_text("one", encoding="utf-8")
    seen = changes((path,), every=0.01)
    next(seen)
    path.write_text("longer", encoding="utf-8")
    next(seen)
    path.unlink()
    next(seen)
