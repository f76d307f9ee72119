"""The folder of a build: all together or not at all, and no one else's files."""

from __future__ import annotations

import errno
import hashlib
import os
import signal
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from platemodel.export import folder
from platemodel.export.folder import beside, discard, judge_target, locked, own_files, publish
from platemodel.faults import InputError


def fill(place: Any, files: Any) -> None:
    for name, text in files.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(text)
    rows = [f"{name},{len(text)},{hashlib.sha256(text.encode()).hexdigest()},x" for name, text in files.items()]
    (place / "files.csv").write_text("\n".join(["file,bytes,sha256,what", *rows]) + "\n")


def names(place: Path) -> list[str]:
    return [path.name for path in place.iterdir()]


def publish_files(target: Any, files: Any) -> None:
    judge_target(target)
    with beside(target) as work:
        fill(work, files)
        publish(work, target)


def tree(place: Any) -> Any:
    return {
        path.relative_to(place).as_posix(): path.read_text() if path.is_file() else None
        for path in place.rglob("*")
        if path.name != "files.csv"
    }


FIRST = {"report.json": "1", "pieces/T1.stl": "one", "pieces/T2.stl": "two"}
SECOND = {"report.json": "2", "pieces/T1.stl": "new"}


def test_second_build_replaces_its_own_files_only(tmp_path: Any) -> None:
    target = tmp_path / "out"
    publish_files(target, FIRST)
    (target / "notes.txt").write_text("mine")
    (target / "pieces" / "photo.jpg").write_text("mine too")
    (target / "site" / "empty").mkdir(parents=True)
    (target / "link").symlink_to("nowhere")
    (target / "to folder").symlink_to(tmp_path)
    (target / "site").chmod(0o750)
    inode = (target / "notes.txt").stat().st_ino
    publish_files(target, SECOND)
    assert tree(target) == {
        "report.json": "2",
        "pieces": None,
        "pieces/T1.stl": "new",
        "pieces/photo.jpg": "mine too",
        "notes.txt": "mine",
        "site": None,
        "site/empty": None,
        "link": None,
        "to folder": None,
    }
    assert os.readlink(target / "link") == "nowhere"
    assert (target / "notes.txt").stat().st_ino == inode
    assert (target / "site").stat().st_mode & 0o777 == 0o750
    assert names(tmp_path) == ["out"]


@pytest.mark.parametrize("name", ["report.json", "pieces/T1.stl"])
def test_users_file_with_the_name_of_a_new_one_is_refused(tmp_path: Any, name: Any) -> None:
    target = tmp_path / "out"
    publish_files(target, {"a": "1"})
    (target / name).parent.mkdir(exist_ok=True)
    (target / name).write_text("mine")
    with pytest.raises(InputError, match="is not of an earlier build but has the name"):
        publish_files(target, SECOND)
    assert (target / name).read_text() == "mine"
    assert (target / "a").read_text() == "1"
    assert names(tmp_path) == ["out"]


def test_users_folder_with_the_name_of_a_new_file_and_the_reverse(tmp_path: Any) -> None:
    target = tmp_path / "out"
    publish_files(target, {"a": "1"})
    (target / "report.json").mkdir()
    (target / "report.json" / "x").write_text("mine")
    with pytest.raises(InputError, match=r"report\.json: is not of an earlier build"):
        publish_files(target, SECOND)
    (target / "report.json" / "x").unlink()
    with pytest.raises(InputError, match=r"report\.json: is not of an earlier build"):
        publish_files(target, SECOND)
    (target / "report.json").rmdir()
    (target / "pieces").write_text("mine")
    with pytest.raises(InputError, match="pieces: is not of an earlier build"):
        publish_files(target, SECOND)
    assert (target / "pieces").read_text() == "mine"


@pytest.mark.parametrize(
    "listing",
    [
        "file,bytes,sha256,what\n../secret,1,x,x\n",
        "file,bytes,sha256,what\n/etc/passwd,1,x,x\n",
        "file,bytes,sha256,what\na/../../secret,1,x,x\n",
        "file,bytes,sha256,what\n..\\secret,1,x,x\n",
        "file,bytes,sha256,what\nC:secret,1,x,x\n",
        "file,bytes,sha256,what\n.,1,x,x\n",
        "file,bytes,sha256,what\n,1,x,x\n",
        "file,bytes,sha256,what\na//b,1,x,x\n",
        "name\nmine.txt\n",
        "",
        "\x00\x01",
        '"' + "x" * 200_000,
    ],
)
def test_list_that_no_build_wrote_is_not_believed(tmp_path: Any, listing: Any) -> None:
    target = tmp_path / "out"
    target.mkdir()
    (tmp_path / "secret").write_text("secret")
    (target / "mine.txt").write_text("mine")
    (target / "files.csv").write_text(listing)
    assert own_files(target) is None
    with pytest.raises(InputError, match=r"holds files but no files\.csv of an earlier build"):
        judge_target(target)
    discard(target)
    assert (tmp_path / "secret").read_text() == "secret"
    assert (target / "mine.txt").read_text() == "mine"


def test_list_that_is_no_file(tmp_path: Any) -> None:
    (tmp_path / "files.csv").mkdir()
    assert own_files(tmp_path) is None
    (tmp_path / "files.csv").rmdir()
    os.mkfifo(tmp_path / "files.csv")
    assert own_files(tmp_path) is None


def refused(target: Any) -> Any:
    with pytest.raises(InputError) as caught:
        judge_target(target)
    return str(caught.value)


def test_targets_that_are_none(tmp_path: Any, monkeypatch: Any) -> None:
    (tmp_path / "file").write_text("x")
    assert "is a file" in refused(tmp_path / "file")
    assert "is not a folder" in refused(tmp_path / "file" / "out")
    assert "is not a folder" in refused(tmp_path / "file" / "out" / "deeper")
    (tmp_path / "link").symlink_to(tmp_path / "gone")
    assert "is a link to nothing" in refused(tmp_path / "link")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    assert "is a link to nothing" in refused(tmp_path / "loop")
    monkeypatch.chdir(tmp_path)
    here = type(tmp_path)
    for name in (".", "", "..", "/", "file/..", str(tmp_path), str(tmp_path.parent)):
        assert "is the folder you are in, or one around it" in refused(here(name))
    judge_target(here("out"))
    judge_target(here("../out"))


def test_read_only_target_and_read_only_folder_above(tmp_path: Any, monkeypatch: Any) -> None:
    target = tmp_path / "out"
    publish_files(target, FIRST)
    real = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: str(path) != str(target) and real(path, mode))
    assert "out: is read-only" in refused(target)
    monkeypatch.setattr(os, "access", lambda path, mode: str(path) != str(tmp_path) and real(path, mode))
    assert refused(target).startswith(f"{tmp_path}: is read-only")


def as_another_user(judge: Callable[[], str]) -> str:
    """What a judgement says where the folders belong to someone else, whom permissions bind."""
    if os.geteuid() != 0:
        return judge()
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.setuid(65534)
        os.write(writing, judge().encode())
        os._exit(0)
    os.close(writing)
    os.waitpid(child, 0)
    with open(reading, encoding="utf-8") as stream:
        return stream.read()


def test_folders_of_someone_else() -> None:
    with tempfile.TemporaryDirectory() as name:
        above = Path(name)
        publish_files(above / "out", FIRST)
        for place in (above, above / "out"):
            place.chmod(0o555)
        assert as_another_user(lambda: refused(above / "out")) == (
            f"{above / 'out'}: is read-only; expected a folder that can be written to"
        )
        assert as_another_user(lambda: refused(above / "new" / "out")) == (
            f"{above}: is read-only; expected a folder that can be written to"
        )
        for place in (above, above / "out"):
            place.chmod(0o755)


def test_mounted_target(tmp_path: Any, monkeypatch: Any) -> None:
    (tmp_path / "out").mkdir()
    monkeypatch.setattr(os.path, "ismount", lambda path: True)
    assert "is where a disk is mounted" in refused(tmp_path / "out")


def test_target_that_is_a_link_to_a_folder(tmp_path: Any) -> None:
    (tmp_path / "elsewhere" / "real").mkdir(parents=True)
    link = tmp_path / "out"
    link.symlink_to(tmp_path / "elsewhere" / "real")
    publish_files(link, FIRST)
    publish_files(link, SECOND)
    assert link.is_symlink()
    assert (tmp_path / "elsewhere" / "real" / "report.json").read_text() == "2"
    assert names(tmp_path / "elsewhere") == ["real"]


def work_that_fails(target: Path, error: BaseException) -> None:
    with beside(target) as work:
        fill(work, FIRST)
        raise error


def test_work_that_fails_leaves_nothing(tmp_path: Any) -> None:
    target = tmp_path / "new" / "deep" / "out"
    with pytest.raises(KeyboardInterrupt):
        work_that_fails(target, KeyboardInterrupt())
    assert names(tmp_path) == []
    (tmp_path / "new").mkdir()
    with pytest.raises(OSError, match="no room"):
        work_that_fails(target, OSError(errno.ENOSPC, "no room"))
    assert names(tmp_path) == ["new"]
    assert names(tmp_path / "new") == []


def test_swap_that_fails_halfway_puts_the_earlier_results_back(tmp_path: Any, monkeypatch: Any) -> None:
    target = tmp_path / "out"
    publish_files(target, FIRST)
    before = tree(target)
    real = os.rename

    def rename(source: Any, to: Any) -> None:
        if str(source).endswith(".part"):
            raise OSError(errno.ENOSPC, "No space left on device")
        real(source, to)

    monkeypatch.setattr(os, "rename", rename)
    with pytest.raises(OSError, match="No space left"):
        publish_files(target, SECOND)
    assert tree(target) == before
    assert names(tmp_path) == ["out"]


def test_stop_in_the_middle_of_a_swap_is_too_late(tmp_path: Any, monkeypatch: Any) -> None:
    # a library used by an earlier test of this process may have taken Ctrl-C for itself
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    target = tmp_path / "out"
    publish_files(target, FIRST)
    real = os.rename

    def rename(source: Any, to: Any) -> None:
        signal.raise_signal(signal.SIGINT)
        real(source, to)

    monkeypatch.setattr(os, "rename", rename)
    publish_files(target, SECOND)
    assert tree(target)["report.json"] == "2"
    assert names(tmp_path) == ["out"]
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)


def test_swap_in_another_thread(tmp_path: Any) -> None:
    thread = threading.Thread(target=publish_files, args=(tmp_path / "out", FIRST))
    thread.start()
    thread.join()
    assert tree(tmp_path / "out")["report.json"] == "1"


def test_folder_that_cannot_be_read_is_not_lost(tmp_path: Any, monkeypatch: Any) -> Any:
    target = tmp_path / "out"
    publish_files(target, FIRST)

    def walk(source: Any, onerror: Any) -> Any:
        onerror(PermissionError(errno.EACCES, "Permission denied", str(target / "private")))
        return iter(())

    monkeypatch.setattr(folder.os, "walk", walk)
    with pytest.raises(InputError, match="private: cannot be read"):
        publish_files(target, SECOND)
    assert (target / "report.json").read_text() == "1"


def test_files_that_cannot_be_linked_are_copied(tmp_path: Any, monkeypatch: Any) -> None:
    def link(source: Any, to: Any) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    target = tmp_path / "out"
    publish_files(target, FIRST)
    (target / "notes.txt").write_text("mine")
    monkeypatch.setattr(os, "link", link)
    publish_files(target, SECOND)
    assert (target / "notes.txt").read_text() == "mine"


def test_one_target_one_build(tmp_path: Any) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real")
    entered = False
    with (
        locked(tmp_path / "real"),
        locked(tmp_path / "other"),
        pytest.raises(InputError, match="another build is writing into it"),
        locked(tmp_path / "link"),
    ):
        entered = True
    assert not entered
    with locked(tmp_path / "link"):
        assert names(tmp_path / "real") == []


def test_failed_folder_is_discarded_only_where_it_is_a_builds_own(tmp_path: Any) -> None:
    target = tmp_path / "out.failed"
    publish_files(target, FIRST)
    (target / "notes.txt").write_text("mine")
    discard(target)
    assert (target / "report.json").read_text() == "1"
    (target / "notes.txt").unlink()
    (target / "link").symlink_to(tmp_path)
    discard(target)
    assert target.is_dir()
    (target / "link").unlink()
    discard(target)
    assert not target.exists()
    discard(target)


def test_mode_of_a_new_and_of_an_earlier_folder_is_kept(tmp_path: Any) -> None:
    before = os.umask(0o027)
    try:
        publish_files(tmp_path / "out", FIRST)
    finally:
        os.umask(before)
    assert (tmp_path / "out").stat().st_mode & 0o777 == 0o750
    (tmp_path / "out").chmod(0o700)
    publish_files(tmp_path / "out", SECOND)
    assert (tmp_path / "out").stat().st_mode & 0o777 == 0o700
