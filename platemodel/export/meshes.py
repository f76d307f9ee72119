"""The mesh files of a frame: binary STL in millimetres, and glTF in metres with a named node a piece."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from platemodel import __version__
from platemodel.export.stl import write_stl
from platemodel.frame.values import Frame
from platemodel.solid.colours import ROLE_COLOUR, linear
from platemodel.solid.triangles import facets, normals

ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER = 34962, 34963
"""What a part of the buffer holds: data of corners, or which corners make triangles (glTF 2.0, bufferView.target)."""


def write_stls(frame: Frame, folder: Path) -> None:
    """Write frame.stl, piece after piece, and pieces/T1.stl …"""
    write_stl(folder / "frame.stl", [facets(piece.vertices, piece.faces) for piece in frame.pieces])
    for kind in frame.types:
        write_stl(folder / "pieces" / f"{kind.name}.stl", [facets(*kind.shape.polyhedron())])


def write_glb(frame: Frame, path: Path) -> None:
    """Write a binary glTF 2.0 file: metres, y up, flat normals, a node a piece named by its mark."""
    import trimesh
    from trimesh.visual import TextureVisuals
    from trimesh.visual.material import PBRMaterial

    materials = {
        role: PBRMaterial(
            name=role,
            baseColorFactor=[round(part * 255) for part in linear(colour)] + [255],
            metallicFactor=0.0,
            roughnessFactor=0.9,
        )
        for role, colour in ROLE_COLOUR.items()
    }
    scene = trimesh.Scene()
    for piece in frame.pieces:
        # (x, y, z) in mm with z up is (x, z, -y) / 1000 in metres with y up
        found = facets([(x / 1000, z / 1000, -y / 1000) for x, y, z in piece.vertices], piece.faces)
        mesh = trimesh.Trimesh(
            vertices=found.reshape(-1, 3),
            faces=np.arange(3 * len(found)).reshape(-1, 3),
            vertex_normals=np.repeat(normals(found), 3, axis=0),
            visual=TextureVisuals(material=materials[piece.role]),
            process=False,
        )
        scene.add_geometry(mesh, node_name=piece.mark, geom_name=piece.mark)
    data = scene.export(file_type="glb", include_normals=True, tree_postprocessor=_told)
    path.write_bytes(data)


def _told(tree: dict[str, Any]) -> None:
    """Put into a glTF tree what a reader may ask for beside the meshes: who wrote it, and what each view is for."""
    tree["asset"]["generator"] = f"platemodel {__version__}"
    for mesh in tree["meshes"]:
        for part in mesh["primitives"]:
            tree["bufferViews"][tree["accessors"][part["indices"]]["bufferView"]]["target"] = ELEMENT_ARRAY_BUFFER
            for accessor in part["attributes"].values():
                tree["bufferViews"][tree["accessors"][accessor]["bufferView"]]["target"] = ARRAY_BUFFER
