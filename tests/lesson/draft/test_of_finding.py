"""From a finding to an idea file and a draft: every kind, and nothing said that is not so."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

import harmonykit as hk
from harmonykit.ideas.finding import Finding
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.of_finding import ASKED, idea_of, write_lesson_of
from harmonykit.lesson.plan.idea import read_idea

SOURCES = ("Bdim7", "C6", "C", "half-whole", "m7b5")


@pytest.fixture(scope="module")
def findings() -> dict[str, Finding]:
    """One finding of each kind."""
    found = [one for source in SOURCES for one in hk.discover(source, "ukulele")]
    return {one.kind: one for one in found}


def test_every_kind_has_a_question_that_gives_nothing_away(findings: dict[str, Finding]) -> None:
    assert set(findings) == set(ASKED)
    for title, question in ASKED.values():
        assert question.endswith("?") and not any(sign.isdigit() for sign in title + question)


def test_every_kind_is_an_idea_that_can_be_read(
    findings: dict[str, Finding], tmp_path: Path
) -> None:
    for kind, one in findings.items():
        text = idea_of(one)
        path = tmp_path / f"{kind.replace(' ', '-')}.toml"
        path.write_text(text, encoding="utf-8")
        assert read_idea(str(path)).question == ASKED[kind][1]
        # Fret numbers are those of one instrument and one key: none is said.
        assert "-1-" not in text and "♭" not in text.replace("7♭5 chord", "")
        assert tomllib.loads(text)["source"]


@pytest.mark.parametrize("kind", ["resolves", "alternates", "contains", "same notes"])
def test_a_draft_is_a_lesson(findings: dict[str, Finding], tmp_path: Path, kind: str) -> None:
    tune, neck = hk.read_tune("slack_water_waltz"), hk.Instrument.named("ukulele")
    path = write_lesson_of(findings[kind], tmp_path, tune, "slack_water_waltz", neck)
    lesson = load_lesson(path)
    assert lesson.front.title == ASKED[kind][0]
    assert [section.title for section in lesson.sections][1] == "The question"


def test_a_second_draft_of_a_kind_stands_beside_the_first(
    findings: dict[str, Finding], tmp_path: Path
) -> None:
    """Neither a lesson nor an idea that is there is written over."""
    tune, neck = hk.read_tune("slack_water_waltz"), hk.Instrument.named("ukulele")
    stem = re.sub("[^a-z0-9]+", "-", ASKED["contains"][0].lower()).strip("-")
    (tmp_path / f"{stem}-2.toml").write_text("mine", encoding="utf-8")
    paths = [
        write_lesson_of(findings["contains"], tmp_path, tune, "slack_water_waltz", neck)
        for _ in range(2)
    ]
    assert [path.name for path in paths] == [f"{stem}.md", f"{stem}-3.md"]
    assert all(path.with_suffix(".toml").is_file() for path in paths)
    assert (tmp_path / f"{stem}-2.toml").read_text("utf-8") == "mine"


@pytest.mark.parametrize(
    "source, most",
    [("C+", 3), *(pytest.param(s, 99, marks=pytest.mark.long) for s in ("C+", "G7", "7b5", "Em7"))],
)
def test_a_tune_that_a_finding_names_has_a_place_for_its_draft(
    tmp_path: Path, source: str, most: int
) -> None:
    """Where it is said to fit, it is drafted; and what is drafted is proved where it builds."""
    name, neck = "slack_water_waltz", hk.Instrument.named("ukulele")
    tune = hk.read_tune(name)
    fitting = [one for one in hk.discover(source, neck, [tune]) if one.spots][:most]
    paths = [write_lesson_of(one, tmp_path, tune, name, neck) for one in fitting]
    assert len(paths) > 2
    for one, path in list(zip(fitting, paths, strict=True))[:2]:
        front = load_lesson(path).front
        if "place" in tomllib.loads(path.with_suffix(".toml").read_text("utf-8")):
            # What it starts from has moved to a chord of the tune at which it was said to fit.
            roots = {hk.Chord.parse(spot.chord).root.pitch_class for spot in one.spots}
            assert front.shape_chord.root.pitch_class in roots


def test_a_change_of_which_nothing_comes_is_left_out(findings: dict[str, Finding]) -> None:
    whole = findings["turns into"]
    taught = tomllib.loads(idea_of(whole))
    assert taught["change"] == whole.teach.change and "figures" in taught
    none = replace(whole, teach=replace(whole.teach, target="m9#11"))
    left = tomllib.loads(idea_of(none))
    assert left["source"] == whole.teach.source
    assert not {"change", "target", "figures"} & left.keys()
