"""What a page carries packed, read from the page itself as its scripts do."""

from __future__ import annotations

import base64
import re
import zlib

SHEET = re.compile(r'(<template data-sheet="([^"]*)">)([^<]*)(</template>)')
SPACE = re.compile(r'<template id="space-script">([^<]*)</template>')


def unpacked(text: str) -> str:
    """A text from base64 of a zlib stream."""
    return zlib.decompress(base64.b64decode(text, validate=True)).decode("utf-8")


def sheets_of(page: str) -> dict[str, str]:
    """The drawings that a page's text carries, by the sheet's name."""
    return {found[2]: unpacked(found[3]) for found in SHEET.finditer(page)}


def opened_up(page: str) -> str:
    """A page's text with its drawings as what they are."""
    return SHEET.sub(lambda found: f"{found[1]}{unpacked(found[3])}{found[4]}", page)


def space_script(page: str) -> str:
    """The script of the 3D view that a page's text carries."""
    found = SPACE.search(page)
    assert found is not None
    return unpacked(found[1])
