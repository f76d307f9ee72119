"""What a library user gets from platemodel.solid, and what a machine without the kernel says."""

from __future__ import annotations

import importlib
import subprocess
import sys
from pathlib import Path

import cadquery
import pytest

from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.solid import KernelMissing, piece_solids, require_kernel, type_solids

ROOT = Path(__file__).parents[2]


def test_solids_are_cadquery_s_and_have_the_polygons_volumes() -> None:
    frame = decide(read_plan(ROOT / "examples" / "canted-bay.toml"))
    pieces, kinds = piece_solids(frame), type_solids(frame)
    assert list(pieces) == [piece.mark for piece in frame.pieces]
    for piece in frame.pieces:
        solid = pieces[piece.mark]
        assert isinstance(solid, cadquery.Solid)
        assert solid.isValid()
        assert solid.Volume() == pytest.approx(piece.laid.volume, rel=1e-9)
        assert solid.Area() == pytest.approx(piece.laid.area, rel=1e-9)
        assert len(solid.Faces()) == len(piece.faces)
        assert solid.Volume() == pytest.approx(kinds[frame.types[piece.type].name].Volume(), rel=1e-9)
    for kind in frame.types:
        box = kinds[kind.name].BoundingBox(0.0)
        assert (box.xmin, box.ymin, box.zmin) == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
        assert (box.xlen, box.ylen, box.zlen) == pytest.approx((kind.shape.length, 100.0, 50.0), abs=1e-6)


@pytest.mark.parametrize(
    ("error", "says"),
    [
        ("libGL.so.1: cannot open shared object file", "sudo apt-get install -y libgl1 libx11-6"),
        ("No module named 'OCP'", "-m pip install cadquery"),
    ],
)
def test_a_missing_kernel_is_said_in_one_line(monkeypatch: pytest.MonkeyPatch, error: str, says: str) -> None:
    def fail(name: str) -> None:
        raise ImportError(error)

    monkeypatch.delitem(sys.modules, "OCP.TopoDS", raising=False)
    monkeypatch.setattr(importlib, "import_module", fail)
    with pytest.raises(KernelMissing) as caught:
        require_kernel()
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_build_without_the_kernel_ends_with_that_line(tmp_path: Path) -> None:
    # a folder named OCP that cannot be imported stands in for a library that is not there
    (tmp_path / "OCP").mkdir()
    (tmp_path / "OCP" / "__init__.py").write_text("raise ImportError('libGL.so.1: cannot open shared object file')")
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); from platemodel.cli import main; main()"
    run = subprocess.run(
        [sys.executable, "-c", code, "build", str(ROOT / "examples" / "garden-room.toml"), "-o", str(tmp_path / "out")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 2
    assert "apt-get install -y libgl1 libx11-6" in run.stderr
    assert "Traceback" not in run.stderr
    assert not (tmp_path / "out").exists()


def test_plan_and_frame_need_no_kernel() -> None:
    code = (
        "import sys; from platemodel.plan import read_plan; from platemodel.frame import decide; "
        "from platemodel.site.rules import judge; from platemodel.sheets import drawn; "
        f"judge(decide(read_plan({str(ROOT / 'examples' / 'bungalow.toml')!r}))); "
        "print([name for name in sys.modules if name.split('.')[0] in ('OCP', 'cadquery', 'trimesh')])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
