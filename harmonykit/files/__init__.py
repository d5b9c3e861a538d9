"""The user's files: read up to a limit, written whole or not at all, never lost.

``file`` reads and writes one file, and words what the system refused; ``text`` decodes what it
holds; ``toml`` reads TOML, ``table`` writes CSV; ``folder`` writes a folder with its ``manifest``,
which takes over what is the user's; ``lock`` keeps two writers apart.
"""

from harmonykit.files.file import (
    plain_ends,
    read_bytes,
    read_text,
    refused,
    shown,
    write_new,
    write_whole,
)
from harmonykit.files.text import decode, decode_typed

__all__ = [
    "decode",
    "decode_typed",
    "plain_ends",
    "read_bytes",
    "read_text",
    "refused",
    "shown",
    "write_new",
    "write_whole",
]
