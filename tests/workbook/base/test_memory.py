"""What is remembered, forgotten, and made once."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.memory import Bounded, Once, had


def test_a_memory_forgets_what_was_not_asked_for_the_longest() -> None:
    memory: Bounded[str] = Bounded(2)
    memory.put(1, "a")
    memory.put(2, "b")
    assert memory.get(1) == "a"
    memory.put(3, "c")
    assert (memory.get(1), memory.get(2), memory.get(3)) == ("a", None, "c")


def test_what_could_not_be_made_is_not_tried_again() -> None:
    memory: Bounded[str | HarmonyError] = Bounded()
    made: list[str] = []

    def make() -> str:
        made.append("tried")
        raise HarmonyError("no")

    for _ in range(2):
        with pytest.raises(HarmonyError, match="no"):
            had(memory, "key", make)
    assert made == ["tried"] and had(memory, "other", lambda: "b") == "b"
    assert had(memory, "other", make) == "b"


def test_each_name_has_one_value_that_is_made_anew_for_another_key() -> None:
    made: list[str] = []

    def make(value: str) -> str:
        made.append(value)
        return value

    regions = Once()
    asked = [("plot", 1), ("table", 1), ("plot", 1), ("plot", 2), ("table", 1), ("plot", 1)]
    for name, key in asked:
        wanted = f"{name} {key}"
        assert regions.get(name, key, lambda wanted=wanted: make(wanted)) == wanted  # type: ignore
    assert made == ["plot 1", "table 1", "plot 2", "plot 1"]
