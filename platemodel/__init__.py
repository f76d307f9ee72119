"""platemodel: the timber wall plates of a masonry shell, from the plan to the proved solids.

The parts, in the order in which the work flows:

* :mod:`platemodel.plan`   what the user wrote, read and judged
* :mod:`platemodel.frame`  runs, laps, pieces and types, as plane geometry
* :mod:`platemodel.site`   the rules of the trade, judged on a frame
* :mod:`platemodel.solid`  the solids and their proof (the only home of the CAD kernel)
* :mod:`platemodel.sheets` drawings
* :mod:`platemodel.export` files

Importing this package loads none of them.
"""

__version__ = "0.1.0"
