"""Zip files without a clock, and office files without the name of any maker."""

from __future__ import annotations

import io
import re
import zipfile
from typing import Final

_NEEDLESS: Final = re.compile(
    r"docProps/thumbnail|word/stylesWithEffects|customXml/|word/webSettings"
)
"""Parts that the template of the library carries along and no page needs."""

_ENTRY: Final = re.compile(r"<(?:Relationship|Override)\b[^>]*/>")
_SCRIPT_FONT: Final = re.compile(r"<a:font script=[^>]*/>")
_PROGRAM: Final = (
    "<?xml version='1.0' encoding='UTF-8' standalone='yes'?>\n"
    '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/'
    'extended-properties"><Application>Soakline</Application></Properties>'
)


def fixed_zip(raw: bytes) -> bytes:
    """An office file again: every part dated 1980-01-01, in its own order, nobody's but ours."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w") as new:
        for item in old.infolist():
            if _NEEDLESS.match(item.filename):
                continue
            entry = zipfile.ZipInfo(item.filename, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            new.writestr(entry, _own(item.filename, old.read(item.filename)))
    return out.getvalue()


def _own(name: str, content: bytes) -> bytes:
    if name == "docProps/app.xml":
        return _PROGRAM.encode()
    if name.endswith(".rels") or name == "[Content_Types].xml":
        return _ENTRY.sub(_kept, content.decode()).encode()
    if name.endswith("theme/theme1.xml"):
        text = _SCRIPT_FONT.sub("", content.decode())
        return re.sub(r' name="Office[^"]*"', ' name="Plain"', text).encode()
    return content


def _kept(entry: re.Match[str]) -> str:
    """A line of a list of parts, unless it names one that is left out."""
    named = re.search(r'(?:Target|PartName)="(?:\.\./|/)?([^"]*)"', entry[0])
    name = named[1] if named else ""
    gone = _NEEDLESS.match(name) or _NEEDLESS.match(f"word/{name}")
    return "" if gone else entry[0]
