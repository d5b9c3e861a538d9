"""Which files are wanted: names that are known, and errors that help."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.takes import FILES, PlayAlong


def test_every_file_is_in_one_take_or_is_of_the_whole_lesson() -> None:
    takes, parts = PlayAlong(FILES).takes, PlayAlong(FILES).part_kinds
    # The open strings are one more.
    assert len(takes) == 4 and parts == ("mp3", "wav")
    assert sum(len(take.kinds) for take in takes) + len(parts) + 1 == len(FILES)
    assert len({(take.suffix, kind) for take in takes for kind in take.kinds}) == 16


def test_the_files_of_a_lesson_that_says_nothing() -> None:
    # MIDI, and what phones play; a WAV file, ten times as large, is made on request.
    names = {f"{take.suffix}.{kind}" for take in PlayAlong().takes for kind in take.kinds}
    assert names == {".mid", ".mp3"}


def test_a_take_says_what_is_particular_to_it() -> None:
    words = [take.words for take in PlayAlong(("mp3", "slow mp3", "slow bass mp3")).takes]
    assert words == ["", " (slow)", " (slow, with bass)"]


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ({"files": ["slwo mp3"]}, "'slwo mp3' is not a play-along file.*slow mp3"),
        ({"files": ["ogg"]}, "'ogg' is not a play-along file"),
        ({"files": ["mp3", "wav", "mp3"]}, "named twice"),
        ({"files": "mp3"}, "a list"),
        ({"files": [1]}, "a list"),
        ({"slow": 1.5}, "0.3 to 1"),
        ({"slow": 0}, "0.3 to 1"),
        ({"slow": True}, "a number"),
        ({"slow": "half"}, "a number"),
        ({"tuning": 1}, "true or false"),
        ({"tunign": True}, "'tunign' is not a sound setting.*tuning"),
    ],
)
def test_what_cannot_be_used_is_told(table: dict[str, Any], message: str) -> None:
    with pytest.raises(HarmonyError, match=f"(?s){message}"):
        PlayAlong.of(table)


def test_a_table_is_read_whole() -> None:
    table = {"files": ["loops"], "slow": 1, "tuning": True, "click": False, "melody": True}
    assert PlayAlong.of(table) == PlayAlong(("loops",), 1, True, False, True)
    assert PlayAlong.of({}) == PlayAlong()


@pytest.mark.parametrize(
    ("table", "mend"),
    [
        # What is near is offered; of what is near nothing, all there is.
        ({"tunign": True}, "tuning"),
        ({"slwo": 0.5}, "slow"),
        ({"xyzzy": 1}, "click, files, melody, percussion, slow, tuning"),
        ({"files": ["slwo mp3"]}, '"slow mp3"'),
        ({"files": ["zzz"]}, ""),
        ({"slow": 2}, "0.7"),
    ],
)
def test_an_error_says_what_to_type(table: dict[str, Any], mend: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        PlayAlong.of(table)
    assert (caught.value.mend or "") == mend


def test_edges_of_the_slow_tempo_may_be_asked_for() -> None:
    for slow in (0.3, 1, 1.0):
        assert PlayAlong(slow=slow).slow == slow
    for slow in (0.29, 1.01):
        with pytest.raises(HarmonyError, match="slow tempo"):
            PlayAlong(slow=slow)


def test_names_of_files_follow_from_the_words_in_front() -> None:
    takes = PlayAlong(("bass wav", "mid", "slow loops", "slow bass mp3")).takes
    assert [take.suffix for take in takes] == ["", "-slow", "-bass", "-slow-bass"]
    assert [(take.slow, take.bass) for take in takes] == [
        (False, False), (True, False), (False, True), (True, True),
    ]  # fmt: skip
    assert [take.words for take in takes] == [
        "", " (slow)", " (with bass)", " (slow, with bass)",
    ]  # fmt: skip


@pytest.mark.parametrize("key", [field.name for field in fields(PlayAlong)])
def test_a_setting_that_is_misspelt_is_offered_alone(key: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        PlayAlong.of({key + key[-1]: True})
    assert caught.value.mend == key


def test_a_wav_file_is_added_to_each_mp3_on_request() -> None:
    asked = PlayAlong(("mid", "mp3", "slow mp3", "slow wav", "tuning"), slow=0.5).with_wav
    assert set(asked.files) == {"mid", "mp3", "wav", "slow mp3", "slow wav", "tuning"}
    assert asked.slow == 0.5 and asked.with_wav == asked
