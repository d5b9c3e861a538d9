"""The user's files: read up to a limit, written whole or not at all, never lost.

``reading`` and ``toml`` read; ``whole`` writes one file, ``folder`` a folder with its
``manifest``, ``table`` a CSV; ``carry`` takes what is the user's from an old folder into a new
one; ``lock`` keeps two writers apart, ``store`` what they type; ``said`` words what the system
refused.
"""

from harmonykit.files.reading import decode, plain_ends, read_bytes, read_text
from harmonykit.files.said import refused, shown
from harmonykit.files.whole import write_new, write_whole

__all__ = [
    "decode",
    "plain_ends",
    "read_bytes",
    "read_text",
    "refused",
    "shown",
    "write_new",
    "write_whole",
]
