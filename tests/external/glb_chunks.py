"""Binary glTF read by bytes, from the container's and the accessors' rules in the specification.

The glTF 2.0 specification.
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

JSON_CHUNK, BIN_CHUNK = 0x4E4F534A, 0x004E4942
COMPONENT = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
COUNT = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}


@dataclass(frozen=True)
class Glb:
    """A read file: its header's figures, its chunks as (type, bytes), and the JSON."""

    magic: bytes
    version: int
    length: int
    size: int
    chunks: tuple[tuple[int, bytes], ...]

    @property
    def json(self) -> dict[str, Any]:
        values: dict[str, Any] = json.loads(self.chunks[0][1].decode("utf-8"))
        return values

    def accessor(self, index: int) -> np.ndarray:
        """The elements of an accessor, from the binary chunk."""
        accessor = self.json["accessors"][index]
        view = self.json["bufferViews"][accessor["bufferView"]]
        kind, parts = np.dtype(COMPONENT[accessor["componentType"]]), COUNT[accessor["type"]]
        assert view.get("byteStride", kind.itemsize * parts) == kind.itemsize * parts
        begin = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        found = np.frombuffer(self.chunks[1][1], kind, accessor["count"] * parts, begin)
        return found.reshape(-1, parts)


def read_glb(path: Path) -> Glb:
    """Take a file apart into its chunks."""
    raw = path.read_bytes()
    magic, version, length = struct.unpack_from("<4sII", raw)
    chunks = []
    at = 12
    while at < len(raw):
        size, kind = struct.unpack_from("<II", raw, at)
        assert at + 8 + size <= len(raw), "a chunk longer than its file"
        chunks.append((kind, raw[at + 8 : at + 8 + size]))
        at += 8 + size
    return Glb(magic, version, length, len(raw), tuple(chunks))
