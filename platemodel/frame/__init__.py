"""The frame: runs, laps, splices, halves, pieces, types and boards, as pure plane geometry.

>>> from platemodel.plan import parse_plan, starter_plan
>>> frame = decide(parse_plan(starter_plan()))
>>> [piece.mark for piece in frame.pieces]
['A1', 'B1', 'C1', 'D1']
"""

from platemodel.frame.framing import decide, relaid
from platemodel.frame.values import Frame, Joint, Piece, Type

__all__ = ["Frame", "Joint", "Piece", "Type", "decide", "relaid"]
