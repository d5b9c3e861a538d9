"""What nothing else is as good as, against comparing all pairs."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.arrange.dominance import undominated


@given(st.lists(st.tuples(st.integers(0, 2), *[st.integers(0, 8)] * 3), min_size=1, max_size=40))
def test_undominated_rows_by_comparing_all_pairs(rows: list[tuple[int, int, int, int]]) -> None:
    kept = undominated(np.array(rows)).tolist()
    for index, row in enumerate(rows):
        beaten = any(
            other[0] == row[0]
            and all(a <= b for a, b in zip(other[1:], row[1:], strict=True))
            and (other != row or place < index)
            for place, other in enumerate(rows)
        )
        assert (index in kept) == (not beaten)
