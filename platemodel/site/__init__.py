"""On the wall: the rules of the trade, judged on a decided frame."""
