"""The Khronos glTF Validator (https://github.com/KhronosGroup/glTF-Validator), from the folder gltf beside this.

It runs in the Node.js that playwright brings; its own answer is given as it stands.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

from playwright._impl._driver import compute_driver_executable

VALIDATOR = Path(__file__).parent / "gltf" / "validator.js"

SCRIPT = """
const { readFileSync } = require("fs");
const { validateBytes } = require(process.argv[1]);
const options = { format: "glb", maxIssues: 0, writeTimestamp: false };
Promise.all(process.argv.slice(2).map((path) => validateBytes(new Uint8Array(readFileSync(path)), options)))
  .then((reports) => console.log(JSON.stringify(reports)));
"""


def reports(*paths: Path) -> list[dict[str, Any]]:
    """What the validator reports of each binary glTF file."""
    node, _ = compute_driver_executable()
    command = [node, "-e", SCRIPT, str(VALIDATOR), *map(str, paths)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    values: list[dict[str, Any]] = json.loads(done.stdout)
    return values


def issues(report: dict[str, Any]) -> list[tuple[int, str, str]]:
    """Severity (0 errors, 1 warnings, 2 information, 3 hints), code and place of all that is said against a file."""
    return [(one["severity"], one["code"], one.get("pointer", "")) for one in report["issues"]["messages"]]
