"""The gate to the CAD kernel: what to say where it cannot be loaded."""

from __future__ import annotations

import importlib
import sys

APT_LINE = "sudo apt-get install -y libgl1 libx11-6"
"""What a bare Debian or Ubuntu lacks of the libraries that the kernel links."""


class KernelMissing(Exception):
    """The CAD kernel cannot be loaded; the message says what to type."""


def require_kernel() -> None:
    """Load the kernel once, or raise :class:`KernelMissing`."""
    if "OCP.TopoDS" in sys.modules:
        return
    try:
        importlib.import_module("OCP.TopoDS")
    except ImportError as error:
        if ".so" in str(error):
            message = f"the CAD kernel needs a system library ({error}); type:  {APT_LINE}"
        else:
            message = f"the CAD kernel is not installed ({error}); type:  {sys.executable} -m pip install cadquery"
        raise KernelMissing(message) from None
