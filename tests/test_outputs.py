"""Where files are written: what is never written over, what is left behind, streams that fail."""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import pytest

from commands import run
from jobs import mostly_slow
from shadewright import stopping
from shadewright.job.starter import write_starter_xlsx
from shadewright.outputs import OutputError, outputs

JOB = """
title = "Łódź ″"
[cloth.plain]
width = 54
[[opening]]
name = "Window"
width = 40
height = 50
"""
posix = pytest.mark.skipif(os.name == "nt", reason="there are no such files there")


def command(*words: str | Path, **options: object) -> subprocess.CompletedProcess[str]:
    said = [sys.executable, "-m", "shadewright", *map(str, words)]
    captured = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | options
    return subprocess.run(said, text=True, check=False, timeout=120, **captured)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return file


# --- what is never written over -----------------------------------------------------------------


@posix
@pytest.mark.parametrize("how", ["name", "spelling", "link", "hard link"])
def test_the_job_is_never_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    book, other = tmp_path / "job.xlsx", tmp_path / "other.xlsx"
    write_starter_xlsx(book)
    before = book.read_bytes()
    monkeypatch.chdir(tmp_path)
    out: str | Path = other
    match how:
        case "name":
            out = book
        case "spelling":
            out = f"../{tmp_path.name}/./job.xlsx"
        case "link":
            other.symlink_to(book)
        case "hard link":
            other.hardlink_to(book)
    for words in (["plan"], ["compare", "--choice", "hems"]):
        result = run(*words, book, "--out", out, "--force")
        assert result.exit_code == 2
        assert "is the job itself, wanted another name" in result.stderr
        assert book.read_bytes() == before


@posix
def test_what_is_gone_on_from_is_never_written_over(job: Path, tmp_path: Path) -> None:
    plan, book, link = tmp_path / "p.json", tmp_path / "p.xlsx", tmp_path / "link.json"
    assert run("plan", job, "--json", plan, "--out", book).exit_code == 0
    link.symlink_to(plan)
    before = plan.read_bytes(), book.read_bytes()
    for out in (plan, link):
        result = run("plan", job, "--after", plan, "--json", out, "--force")
        assert result.exit_code == 2
        assert "is the plan of --after itself" in result.stderr
    words = ["--after", plan, "--done-from", book, "--out", book, "--force"]
    result = run("plan", job, *words)
    assert result.exit_code == 2
    assert "is the workbook of --done-from itself" in result.stderr
    assert (plan.read_bytes(), book.read_bytes()) == before


@posix
def test_two_outputs_are_two_files(job: Path, tmp_path: Path) -> None:
    drawn, linked = tmp_path / "a.svg", tmp_path / "a.json"
    drawn.write_text("mine")
    linked.symlink_to(drawn)
    result = run("plan", job, "--json", linked, "--picture", drawn, "--force")
    assert result.exit_code == 2
    assert "is the same file as" in result.stderr
    assert drawn.read_text() == "mine"


@posix
def test_only_plain_files_are_written_over(job: Path, tmp_path: Path) -> None:
    pipe, dangling, locked = (tmp_path / f"{name}.json" for name in ("pipe", "link", "locked"))
    os.mkfifo(pipe)
    dangling.symlink_to(tmp_path / "nowhere")
    locked.write_text("mine")
    locked.chmod(0o444)
    circle = tmp_path / "circle.json"
    circle.symlink_to(circle)
    for file, says in (
        (pipe, "is a device or a pipe"),
        (dangling, "is a link to nothing"),
        (locked, "is read-only"),
        (circle, "links lead round in a circle"),
        (Path("/dev/full"), "ends in .json"),
        (tmp_path, "ends in .json"),
    ):
        result = run("plan", job, "--json", file, "--force")
        assert result.exit_code == 2
        assert says in result.stderr
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert dangling.is_symlink()
    assert not (tmp_path / "nowhere").exists()
    assert locked.read_text() == "mine"


@posix
def test_a_link_stays_one_and_a_mode_stays_what_it_was(job: Path, tmp_path: Path) -> None:
    kept, link = tmp_path / "kept.json", tmp_path / "link.json"
    kept.write_text("old")
    kept.chmod(0o640)
    link.symlink_to("kept.json")
    assert run("plan", job, "--json", link).exit_code == 2
    assert run("plan", job, "--json", link, "--force").exit_code == 0
    assert link.is_symlink()
    assert json.loads(kept.read_text(encoding="utf-8"))["format"] == "shadewright-plan/1"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o640


@posix
@pytest.mark.parametrize("name", ["n" * 300, "nul\0"])
def test_names_that_no_file_can_have(job: Path, tmp_path: Path, name: str) -> None:
    for words in (
        ["plan", job, "--json", f"{tmp_path}/{name}.json"],
        ["plan", job, "--out", f"{tmp_path}/{name}.xlsx"],
        ["plan", job, "--picture", f"{tmp_path}/{name}.svg"],
        ["plan", job, "--after", f"{tmp_path}/{name}.json", "--done", "1"],
        ["fit", job, "--json", f"{tmp_path}/{name}.json"],
        ["compare", job, "--out", f"{tmp_path}/{name}.xlsx"],
        ["new", f"{tmp_path}/{name}.toml"],
        ["check", f"{tmp_path}/{name}.toml"],
        ["replay", job, f"{tmp_path}/{name}.json"],
    ):
        result = run(*words)
        assert result.exit_code == 2, words
        assert ("embedded null byte" if "\0" in name else "File name too long") in result.stderr
        assert "\0" not in result.stderr


@posix
@pytest.mark.skipif(os.name != "nt" and os.geteuid() == 0, reason="nothing is closed to root")
def test_a_folder_that_may_not_be_entered(job: Path, tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(0)
    try:
        for words in (
            ["plan", job, "--json", closed / "a.json"],
            ["check", closed / "a.toml"],
            ["replay", job, closed / "a.json"],
            ["new", closed / "a.toml"],
        ):
            result = run(*words)
            assert result.exit_code == 2
            assert "Permission denied" in result.stderr
    finally:
        closed.chmod(0o700)


def test_a_folder_that_gives_no_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def closed(self: Path, **_: object) -> os.stat_result:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "stat", closed)
    trying = outputs([tmp_path / "a.json"], force=True, reads={"the job": tmp_path / "b"})
    with pytest.raises(OutputError, match="json: cannot be written: Permission denied"), trying:
        pass


@posix
@pytest.mark.slow
def test_names_in_other_letters_than_the_systems(job: Path, tmp_path: Path) -> None:
    name = os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9\x1b[31m")
    result = command("plan", job, "--json", f"{name}.json")
    assert result.returncode == 0
    assert "Traceback" not in result.stderr
    assert "\x1b" not in result.stderr
    assert Path(f"{name}.json").exists()
    result = command("plan", job, "--json", f"{name}.json")
    assert result.returncode == 2
    assert "exists already" in result.stderr
    assert command("check", f"{name}.toml").returncode == 2


# --- files that appear meanwhile, disks that are full -------------------------------------------


def test_a_file_that_appears_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    file = tmp_path / "a.json"

    def overtaken(part: Path) -> None:
        part.write_text("ours")
        file.write_text("theirs")

    trying = outputs([file], force=False, reads={})
    with pytest.raises(OutputError, match="File exists"), trying as writing:
        writing.write(file, overtaken)
    assert file.read_text() == "theirs"
    assert list(tmp_path.iterdir()) == [file]


@pytest.mark.slow
@posix
@pytest.mark.parametrize("ending", mostly_slow(["json", "xlsx", "svg", "pdf", "png"], 5, 3))
def test_a_full_disk_is_told_in_one_line(job: Path, tmp_path: Path, ending: str) -> None:
    """A limit on the size of files fails in the midst of writing, as a full disk does."""
    import resource

    out = tmp_path / f"a.{ending}"
    option = {"xlsx": "--out", "json": "--json"}.get(ending, "--picture")
    result = command(
        "plan",
        job,
        option,
        out,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000)),
    )
    assert result.returncode == 2
    first = out if ending not in ("svg", "png") else tmp_path / f"a-1.{ending}"
    assert result.stderr == f"{first}: cannot be written: File too large\n"
    assert list(tmp_path.iterdir()) == [job]


# --- what killed runs leave ---------------------------------------------------------------------


@posix
def test_what_a_killed_run_left_is_cleared_and_a_live_runs_is_not(tmp_path: Path) -> None:
    code = (
        "import sys, time\nfrom pathlib import Path\nfrom shadewright.outputs import outputs\n"
        "with outputs([Path(sys.argv[1])], force=False, reads={}):\n"
        "    print('ready', flush=True)\n    time.sleep(100)\n"
    )

    def temporary() -> list[Path]:
        return [file for file in tmp_path.iterdir() if file.name.startswith(".shadewright-")]

    with subprocess.Popen(
        [sys.executable, "-c", code, str(tmp_path / "a.json")], stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        (held,) = temporary()
        with outputs([tmp_path / "b.json"], force=False, reads={}) as writing:
            writing.write(tmp_path / "b.json", lambda part: part.write_text("b"))
        assert temporary() == [held]
        process.kill()
    assert temporary() == [held]
    link = tmp_path / ".shadewright-link"
    link.symlink_to(tmp_path / "b.json")
    with outputs([tmp_path / "c.json"], force=False, reads={}) as writing:
        writing.write(tmp_path / "c.json", lambda part: part.write_text("c"))
    assert temporary() == [link]
    assert (tmp_path / "b.json").read_text() == "b"


# --- streams that fail --------------------------------------------------------------------------


@posix
@pytest.mark.parametrize(
    "what", mostly_slow(["check", "--help", "--version", "plan", "new", "compare"], 6)
)
def test_a_result_that_cannot_be_printed_is_told(job: Path, tmp_path: Path, what: str) -> None:
    words: list[str | Path] = [what]
    words += [tmp_path / "new.toml"] if what == "new" else []
    words += [job] if what in ("check", "plan", "compare") else []
    words += ["--choice", "hems"] if what == "compare" else []
    with Path("/dev/full").open("w") as full:
        result = command(*words, stdout=full)
    assert result.returncode == 2
    told = result.stderr.splitlines()
    assert told[-1] == "the result cannot be printed: No space left on device"
    assert "Traceback" not in result.stderr


@pytest.mark.slow
@posix
@pytest.mark.parametrize("what", mostly_slow(["check", "plan", "none.toml"], 3))
def test_messages_that_cannot_be_printed_change_no_exit_code(job: Path, what: str) -> None:
    words = ["check", what] if what == "none.toml" else [what, job]
    with Path("/dev/full").open("w") as full:
        result = command(*words, stderr=full)
    assert result.returncode == (2 if what == "none.toml" else 0)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("encoding", "what"),
    [
        ("cp1252", "check"),
        ("ascii", "plan"),
        ("cp1252:strict", "check"),
        ("cp1252", "fit"),
        ("cp1252", "compare"),
    ],
)
def test_letters_that_cannot_be_shown_are_replaced(job: Path, encoding: str, what: str) -> None:
    words = ["--choice", "hems"] if what == "compare" else []
    environment = os.environ | {"PYTHONIOENCODING": encoding}
    result = command(what, job, *words, env=environment, encoding="cp1252")
    assert result.returncode == (3 if what == "fit" else 0)
    assert "Traceback" not in result.stderr
    if what == "plan":
        assert result.stdout.startswith("??d? ?" if encoding == "ascii" else "?ód? ?")


@posix
def test_a_request_while_a_file_gets_its_name_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It came right after a temporary file was made, before its name was known, and that stayed."""
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}
    made = tempfile.mkstemp

    def asked_meanwhile(**where: Any) -> tuple[int, str]:
        found = made(**where)
        signal.raise_signal(signal.SIGTERM)
        return found

    monkeypatch.setattr(tempfile, "mkstemp", asked_meanwhile)
    monkeypatch.setattr(stopping, "_state", stopping._StopRequest())
    stopping.hear()
    try:
        with pytest.raises(stopping.Termination), outputs([tmp_path / "a.txt"], False, {}):
            pytest.fail("the work was begun")
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    assert list(tmp_path.iterdir()) == []
