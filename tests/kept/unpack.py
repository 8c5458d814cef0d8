"""Unpacks the kept data folder, as an installation that is updated finds its own."""

from __future__ import annotations

import gzip
import json
from pathlib import Path
from typing import Any, Final

HERE: Final = Path(__file__).parent
DATABASE: Final = HERE / "data-v1.sqlite.gz"
MANIFEST: Final = HERE / "data-v1.json"
#: The address that the folder's links were printed with.
BASE_URL: Final = "https://cards.example"


def read_manifest() -> dict[str, Any]:
    """Return what is in the kept folder: codes, keys, passwords and the numbers that were shown."""
    manifest: dict[str, Any] = json.loads(MANIFEST.read_text(encoding="utf-8"))
    return manifest


def unpack(folder: Path) -> Path:
    """Write the kept folder's two files to `folder`, under the names that they had, and return it."""
    folder.mkdir(parents=True)
    (folder / "setups.db").write_bytes(gzip.decompress(DATABASE.read_bytes()))
    (folder / "secret_key").write_text(read_manifest()["secret_key"], encoding="ascii")
    return folder
