"""What is long is carried small: sheets and the 3D view stand in the page as packed text, which its scripts open."""

from __future__ import annotations

import base64
import zlib

HARDEST = 9
"""As small as it goes; the setting is fixed, so that the same text is packed into the same bytes."""


def packed(text: str) -> str:
    """A text in UTF-8 as a zlib stream (RFC 1950), which has a check sum, in base64 (RFC 4648).

    >>> zlib.decompress(base64.b64decode(packed("plate"))).decode()
    'plate'
    """
    return base64.b64encode(zlib.compress(text.encode("utf-8"), HARDEST)).decode("ascii")
