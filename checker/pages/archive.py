"""Zip files without a clock: the same content gives the same bytes."""

from __future__ import annotations

import io
import zipfile


def fixed_zip(raw: bytes) -> bytes:
    """A zip file again, every entry dated 1980-01-01, in its own order."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w") as new:
        for item in old.infolist():
            entry = zipfile.ZipInfo(item.filename, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            new.writestr(entry, old.read(item.filename))
    return out.getvalue()
