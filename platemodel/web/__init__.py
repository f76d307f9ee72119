"""The page that is opened first: one HTML file that works offline, from a folder or sent alone.

:func:`index_page` gives its text.
"""

from __future__ import annotations

from platemodel.web.page import index_page

__all__ = ["index_page"]
