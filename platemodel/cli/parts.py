"""The parts of a build that a user may ask for by name, and how each is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from platemodel.faults import InputError
from platemodel.solid.workers import beside

if TYPE_CHECKING:
    from platemodel.frame.values import Frame
    from platemodel.plan.values import LabelStock
    from platemodel.sheets.page import Page
    from platemodel.site.onwall import OnWall
    from platemodel.site.rules import Verdict
    from platemodel.solid.values import Proof

PARTS = ("solids", "lists", "manifest", "ifc", "dxf", "labels", "sheets", "pack", "page")
"""Names for --only, in the order of writing; report.json and files.csv are written always."""

SHEETS = frozenset(("sheets", "pack", "page"))
"""Parts for which sheets are drawn."""

DRAWN = SHEETS | {"labels"}
"""Parts that are drawn at all."""

PAGE = "index.html"
LABELS_FILE = ("labels.pdf", "a label a piece, to print at 100 %")
PACK_FILE = ("pack.pdf", "all sheets to print at 100 %, cover first")
WORTH_IT = 4
"""Fewer sheets than this are not worth a process for their pack."""


def chosen(only: str | None, show: bool) -> tuple[str, ...]:
    """The parts that are wanted, all where none is named; ``show``: the page is to be opened.

    Raises :class:`~platemodel.faults.InputError`.
    """
    if only is None:
        return PARTS
    names = [name.strip() for name in only.split(",")]
    for name in names:
        if name not in PARTS:
            raise InputError(f"--only: '{name}' is no part of a build; expected some of {', '.join(PARTS)}")
    if show and "page" not in names:
        raise InputError("--open: the page is not among the parts of --only; expected 'page' among them")
    return tuple(names)


@dataclass(frozen=True)
class Judged:
    """What is known of a frame once it is proved: the proof, the rules' verdicts, the report's values.

    ``hashes`` are the SHA-256 of the types' STEP files that were proved, by path, where the manifest is wanted.
    """

    proof: Proof
    verdicts: Sequence[Verdict]
    report: dict[str, Any]
    hashes: Mapping[str, str] = field(default_factory=dict)

    @property
    def passed(self) -> bool:
        """Whether the proof and every rule that must hold passed."""
        return bool(self.report["passed"])


Files = list[tuple[str, str]]
"""Paths in the folder, each with what it is."""


def solid_files(frame: Frame) -> Files:
    """The files of solids, which the proof has read."""
    kinds = [kind.name for kind in frame.types]
    return [
        ("frame.step", f"the frame's solids, {frame.plan.export.step}, mm"),
        ("frame.stl", "the frame as a mesh, mm"),
        ("frame.glb", "the frame for viewers, glTF 2.0, metres, y up"),
        *((f"pieces/{kind}.step", f"solid of type {kind} in the piece frame, mm") for kind in kinds),
        *((f"pieces/{kind}.stl", f"mesh of type {kind} in the piece frame, mm") for kind in kinds),
    ]


def write_lists(frame: Frame, wall: OnWall, judged: Judged, folder: Path, wanted: frozenset[str]) -> Files:
    """Write the report and the wanted lists into a folder; gives its files so far, those of solids too."""
    from platemodel.export.fixings import fixings
    from platemodel.export.lists import buying_list, cutting_list, fixings_list
    from platemodel.export.report import report_text

    files: Files = solid_files(frame) if "solids" in wanted else []
    _write(folder / "report.json", report_text(judged.report))
    files.append(("report.json", "all results"))
    if "lists" in wanted:
        _write(folder / "cutting-list.csv", cutting_list(frame))
        _write(folder / "buying-list.csv", buying_list(frame, wall.rules))
        _write(folder / "fixings-list.csv", fixings_list(fixings(frame, wall)))
        files += [("cutting-list.csv", "every piece with its laps"), ("buying-list.csv", "boards to buy")]
        files.append(("fixings-list.csv", "screws, nails and straps to buy"))
    return files


def write_manifest(frame: Frame, judged: Judged, folder: Path, wanted: frozenset[str]) -> Files:
    """Write the shop manifest where it is wanted; gives its files."""
    if "manifest" not in wanted:
        return []
    from platemodel.export.manifest import FILES, manifest, manifest_table, manifest_text, schema_text

    made = manifest(frame, judged.hashes, judged.passed)
    for name, text in zip(FILES, (manifest_text(made), manifest_table(made), schema_text()), strict=True):
        _write(folder / name, text)
    return list(FILES.items())


def write_models(frame: Frame, judged: Judged, folder: Path, wanted: frozenset[str]) -> Files:
    """Write what other people's programs take in beside the solids; gives the files."""
    files: Files = []
    if "ifc" in wanted:
        from platemodel.export.ifc import write_ifc

        write_ifc(frame, folder / "frame.ifc", judged.passed)
        files.append(("frame.ifc", "the frame for building models, IFC4, mm"))
    if "dxf" in wanted:
        from platemodel.export.dxf_drawings import write_dxfs

        files += write_dxfs(frame, folder, judged.passed)
    return files


@dataclass
class Drawing:
    """The sheets of a frame: drawn first, and written once the proof is known, into a folder.

    Called twice in one process: with None it draws and gives the names of sheets by type, with what was
    judged and the folder's other files it writes what is wanted and gives the files it wrote.
    """

    frame: Frame
    wall: OnWall
    verdicts: Sequence[Verdict]
    folder: Path
    wanted: frozenset[str]
    pages: dict[str, Page] = field(default_factory=dict)

    def __call__(self, known: tuple[Judged, Files] | None) -> dict[str, list[str]] | Files:
        """Draw, or write."""
        return self._draw() if known is None else self._write(*known)

    def _draw(self) -> dict[str, list[str]]:
        from platemodel.sheets import drawn, names_by_type

        if self.wanted & SHEETS:
            self.pages = drawn(self.frame, self.wall, self.verdicts)
        if "pack" in self.wanted:
            from platemodel.sheets.pdf import prepare

            prepare()
        return names_by_type(self.frame, self.pages) if "sheets" in self.wanted else {}

    def _write(self, judged: Judged, files: Files) -> Files:
        from platemodel.sheets import finished

        if self.frame.plan.labels is not None and "labels" in self.wanted:
            files = [*files, self._labels(self.frame.plan.labels, judged.passed)]
            written: Files = [files[-1]]
        else:
            written = []
        if not self.wanted & SHEETS:
            return written
        self.pages = finished(self.frame, self.pages, judged.proof, judged.verdicts, judged.passed)
        with beside(self._pack, "pack" in self.wanted and len(self.pages) >= WORTH_IT) as pack:
            if "sheets" in self.wanted:
                written += self._sheets()
            if "page" in self.wanted:
                # it links to all others
                linked = [*files, *written, *([PACK_FILE] if "pack" in self.wanted else [])]
                written += self._page(judged, sorted(linked))
            if "pack" in self.wanted:
                written += pack()
        return written

    def _labels(self, stock: LabelStock, passed: bool) -> tuple[str, str]:
        from platemodel.sheets.pdf import pdf
        from platemodel.sheets.piece_labels import label_outline, label_pages

        job = self.frame.plan.job
        pages = label_pages(self.frame, stock, passed)
        made = pdf(list(label_outline(pages)), f"{job.title}: labels", job.creator, "Labels for the pieces")
        (self.folder / LABELS_FILE[0]).write_bytes(made)
        return LABELS_FILE

    def _sheets(self) -> Files:
        from platemodel.sheets import svg

        (self.folder / "sheets").mkdir()
        for name, page in self.pages.items():
            _write(self.folder / "sheets" / f"{name}.svg", svg(page))
        return [(f"sheets/{name}.svg", page.title) for name, page in self.pages.items()]

    def _pack(self) -> Files:
        from platemodel.sheets import outline
        from platemodel.sheets.pdf import pdf

        job = self.frame.plan.job
        made = pdf(outline(self.pages), f"{job.title}: wall plates", job.creator, "Sheets for cutting and laying")
        (self.folder / PACK_FILE[0]).write_bytes(made)
        return [PACK_FILE]

    def _page(self, judged: Judged, files: Files) -> Files:
        from platemodel.web import index_page

        _write(self.folder / PAGE, index_page(self.frame, judged.report, self.pages, files))
        return [(PAGE, "open this first: plan, 3D view, pieces, laps, proof, sheets")]


def _write(path: Path, text: str) -> None:
    with open(path, "w", encoding="utf-8", newline="") as stream:
        stream.write(text)
