"""Heights of capitals on the sheets are those of ISO 3098: 1.8 2.5 3.5 5 7 10 14 20 mm."""

from __future__ import annotations

import pytest
from built import Built
from svg_sheets import read

ISO_3098 = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)


def test_capitals_are_of_heights_of_iso_3098(built: Built) -> None:
    sheets = {path.stem: read(path) for path in sorted((built.folder / "sheets").glob("*.svg"))}
    assert sheets
    for name, sheet in sheets.items():
        assert sheet.words
        for words in sheet.words:
            nearest = min(ISO_3098, key=lambda height: abs(height - words.capitals))
            # a size is written in thousandths of a millimetre
            assert words.capitals == pytest.approx(nearest, abs=0.002), (name, words.text)
