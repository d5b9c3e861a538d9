"""The table of all 4,096 pitch-class sets, each classified: one row a set.

Conventions.  A set is a whole number from 0 to 4095: bit n stands for pitch class n (C = 0 to
B = 11), so that row 145 = 2**0 + 2**4 + 2**7 is the C major triad.  Tn means transposition up n
semitones, TnI the inversion x -> n - x.  A *normal form* is a set's normal order moved to begin
on 0, held as such a number; the letter A stands for the class that holds the Forte prime form,
B for its inversion.  The table is made whole when it is first asked for, in a few milliseconds.

The rules are those of the books below; nothing is copied from their lists but the one Z pair that
breaks the order, so that the lists can check what is computed here.

References
----------
Allen Forte, *The Structure of Atonal Music*, Yale University Press 1973, Appendix 1.
John Rahn, *Basic Atonal Theory*, Longman 1980.
"""

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int32]
Table = NDArray[Any]
Vector = tuple[int, ...]

_SETS = 1 << 12
_AGGREGATE = _SETS - 1
_FIELDS = [
    ("size", "u1"),
    ("interval_vector", "u1", (6,)),
    ("forte_start", "u1"),
    ("rahn_start", "u1"),
    ("forte_normal", "u2"),
    ("rahn_normal", "u2"),
    ("forte_prime", "u2"),
    ("rahn_prime", "u2"),
    ("tn_symmetry", "u1"),
    ("tni_symmetry", "u1"),
    ("ordinal", "u1"),
    ("z_partner", "i2"),
    ("forte_name", "U6"),
    ("tn_name", "U6"),
]
# 6-Z28 stands before 6-Z49 in Forte's list although the rule would have it after.
_FIRST_AGAINST_THE_RULE = sum(1 << pc for pc in (0, 1, 3, 5, 6, 9))


@cache
def set_table() -> Table:
    """Return the table, one row for each of the 4,096 sets; it is read-only.

    Returns
    -------
    structured array
        ``size``; ``interval_vector`` (six counts); ``forte_start`` and ``rahn_start`` (the pitch
        class on which the normal order begins); ``forte_normal``, ``rahn_normal`` (normal forms),
        ``forte_prime``, ``rahn_prime``, all as bit sets; ``tn_symmetry`` and ``tni_symmetry``
        (how many Tn, how many TnI fix the set); ``ordinal`` (the number after the hyphen);
        ``z_partner`` (a prime form as a bit set, -1 where there is none); ``forte_name`` with its
        Z and ``tn_name`` with its letter A or B besides.

    References
    ----------
    A. Forte, *The Structure of Atonal Music*, Yale UP, New Haven 1973, appendix 1.
    J. Rahn, *Basic Atonal Theory*, Longman, New York 1980.

    Examples
    --------
    >>> row = hk.theory.set_table()[0b10010001]
    >>> str(row["forte_name"]), str(row["tn_name"]), row["interval_vector"].tolist()
    ('3-11', '3-11B', [0, 0, 1, 1, 1, 0])
    """
    sets = np.arange(_SETS, dtype=np.int32)
    down = _rotations(sets)
    flipped = _inversions(sets)
    table = np.zeros(_SETS, dtype=_FIELDS)
    table["size"] = np.bitwise_count(sets)
    table["interval_vector"] = _interval_vectors(sets, down)
    table["tn_symmetry"] = (down == sets[:, None]).sum(axis=1)
    table["tni_symmetry"] = (down[flipped] == sets[:, None]).sum(axis=1)
    for rule, key in (("forte", _forte_key(sets)), ("rahn", sets)):
        start, normal = _normal(down, key)
        mirrored = normal[flipped]
        table[f"{rule}_start"] = start
        table[f"{rule}_normal"] = normal
        table[f"{rule}_prime"] = np.where(key[normal] <= key[mirrored], normal, mirrored)
    _number(table)
    _name(table)
    table.flags.writeable = False
    return table


def _rotations(sets: Ints) -> Ints:
    """Return each set moved down by 0 to 11 semitones, one column an amount."""
    amount = np.arange(12, dtype=np.int32)
    wide = sets[:, None] * (_SETS + 1)
    down: Ints = (wide >> amount) & _AGGREGATE
    return down


def _inversions(sets: Ints) -> Ints:
    """Return T0I of each set: pitch class n becomes -n."""
    flipped = np.zeros_like(sets)
    for pc in range(12):
        flipped |= ((sets >> pc) & 1) << (-pc % 12)
    return flipped


def _interval_vectors(sets: Ints, down: Ints) -> Ints:
    counts: Ints = np.bitwise_count(sets[:, None] & down[:, 1:7]).astype(np.int32)
    counts[:, 5] //= 2  # T6 maps each tritone on itself, so both of its notes were counted
    return counts


def _forte_key(sets: Ints) -> Ints:
    """Return a number that is less for a smaller span, then for notes packed to the left.

    Of two sets of one size and span the one packed to the left has the larger mirror image, since
    the first note in which they differ comes earlier.  Rahn's rule, least span and then compared
    from the right inwards, needs no such key: it is the order of the bit sets themselves.
    """
    span = np.zeros_like(sets)
    mirror = np.zeros_like(sets)
    for pc in range(12):
        has = (sets >> pc) & 1
        span = np.where(has, pc, span)
        mirror |= has << (11 - pc)
    return span * _SETS + _AGGREGATE - mirror


def _normal(down: Ints, key: Ints) -> tuple[Ints, Ints]:
    """Return, for each set, the least pitch class that begins its normal order, and its form."""
    never = np.iinfo(key.dtype).max
    keys = np.where(down & 1, key[down], never)
    start = keys.argmin(axis=1)
    return start.astype(np.int32), np.take_along_axis(down, start[:, None], axis=1)[:, 0]


def _number(table: Table) -> None:
    """Fill in ordinals and Z partners, by the order of Forte's list.

    Up to six notes, classes stand by interval vector, the largest first; the second class with a
    vector (by Forte's own rule for prime forms) waits for the end of the list.  A class of more
    than six notes has the number of its complement.  Forte prints the order, not this rule, which
    was found by comparing: it gives all 224 numbers but those of 6-Z28 and 6-Z49.
    """
    ordinal, partner = np.zeros(_SETS, dtype=np.int32), np.full(_SETS, -1)
    for size in range(7):
        first, second = _queue(table, size)
        listed = [first[v] for v in sorted(first, reverse=True)]
        listed += [second[v] for v in sorted(second, reverse=True)]
        ordinal[listed] = np.arange(1, len(listed) + 1)
        for vector, prime in second.items():
            partner[prime], partner[first[vector]] = first[vector], prime
    primes = table["forte_prime"].astype(np.int32)
    complements = primes[::-1]  # set 4095 - m is the complement of set m
    large = table["size"] > 6
    small = np.where(large, complements, primes)
    other = partner[small]
    table["ordinal"] = ordinal[small]
    table["z_partner"] = np.where(large & (other >= 0), complements[other], other)


def _queue(table: Table, size: int) -> tuple[dict[Vector, int], dict[Vector, int]]:
    """Return the prime forms of one size by vector: the first of each vector, the second."""
    # A prime form is its own (``np.unique`` would load ``np.ma``).
    own = table["forte_prime"] == np.arange(_SETS)
    primes = np.flatnonzero(own & (table["size"] == size)).astype(np.int32)
    primes = primes[_forte_key(primes).argsort()]
    primes = primes[np.argsort(primes != _FIRST_AGAINST_THE_RULE, kind="stable")]
    vectors = map(tuple, table["interval_vector"][primes].tolist())
    first: dict[Vector, int] = {}
    second: dict[Vector, int] = {}
    for vector, prime in zip(vectors, primes.tolist(), strict=True):
        (second if vector in first else first)[vector] = prime
    return first, second


def _name(table: Table) -> None:
    """Fill in names; each is put together once a class, then handed to all of its sets."""
    forms, where = np.unique(table["forte_normal"], return_inverse=True)
    columns = ("size", "z_partner", "ordinal", "tni_symmetry", "forte_normal", "forte_prime")
    rows = zip(*(table[column][forms].tolist() for column in columns), strict=True)
    names, letters = [], []
    for size, partner, ordinal, mirrored, form, prime in rows:
        names.append(f"{size}-{'' if partner < 0 else 'Z'}{ordinal}")
        letters.append("" if mirrored else "A" if form == prime else "B")
    table["forte_name"] = np.array(names)[where]
    table["tn_name"] = np.strings.add(names, letters)[where]
