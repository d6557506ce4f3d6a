"""What does Tab complete? The script is read by the shell itself, as a user's is."""

import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from evaluator.cli.completion import SHELLS
from evaluator.cli.main import COMMANDS, main
from tests.cli.commands import evaluator

BASH = shutil.which("bash")
needs_bash = pytest.mark.skipif(
    BASH is None or sys.platform == "win32", reason="completes in a bash"
)
LIST = """
source ./evaluator.bash
COMP_WORDS=({words})
COMP_CWORD=$(( ${{#COMP_WORDS[@]}} - 1 ))
complete -p evaluator >/dev/null
_shtab_evaluator
printf '%s\\n' "${{COMPREPLY[@]}}"
"""


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """A folder with charts, takes, and what is neither."""
    for name in (
        "row.txt",
        "row.mid",
        "row.pdf",
        "takes/Anna Appleby - take 1.mid",
        "takes/Anna Appleby - take 2.mid",
        "takes/notes.doc",
    ):
        file = tmp_path / name
        file.parent.mkdir(exist_ok=True)
        file.touch()
    done = evaluator(tmp_path, "completion", "bash")
    assert done.returncode == 0, done.stderr
    (tmp_path / "evaluator.bash").write_text(done.stdout, encoding="utf-8")
    return tmp_path


def completed(desk: Path, *typed: str) -> set[str]:
    """What bash offers for the last of the words, which are given as they were typed."""
    assert BASH is not None
    script = LIST.format(words=" ".join(shlex.quote(word) for word in ("evaluator", *typed)))
    done = subprocess.run(
        [BASH, "--norc", "-c", script],
        cwd=desk,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    # What is wrong with completing outside a prompt is not this script's.
    assert not [line for line in done.stderr.splitlines() if "compopt" not in line]
    return set(done.stdout.split("\n")) - {""}


@needs_bash
def test_commands_are_completed(desk: Path) -> None:
    assert completed(desk, "") == set(COMMANDS)
    assert completed(desk, "g") == {"grade"}
    assert completed(desk, "chart", "") == {"draft", "check", "show", "import", "export", "guide"}


@needs_bash
def test_options_are_those_of_the_command(desk: Path) -> None:
    assert {"--rubric", "--html", "--no-history"} <= completed(desk, "grade", "row.txt", "--")
    assert completed(desk, "chart", "guide", "row.txt", "--t") == {"--tempo", "--times"}
    assert completed(desk, "demo", "--") == {"--help", "--plain"}


@needs_bash
def test_what_an_option_can_be_is_completed(desk: Path) -> None:
    rubrics = completed(desk, "grade", "row.txt", "row.mid", "--rubric", "")
    assert rubrics == {"first-steps", "steady", "concert-ready"}
    assert completed(desk, "chart", "guide", "row.txt", "--hands", "l") == {"left"}
    assert completed(desk, "completion", "") == set(SHELLS)


@needs_bash
def test_a_chart_is_a_text_and_a_take_a_midi_file(desk: Path) -> None:
    assert completed(desk, "grade", "row") == {"row.txt"}
    assert completed(desk, "grade", "row.txt", "row") == {"row.mid"}
    assert completed(desk, "grade", "row.txt", "row.mid", "--html", "") == {"takes"}
    assert "row.pdf" in completed(desk, "grade", "row.txt", "row.mid", "--csv", "row")


@needs_bash
@pytest.mark.parametrize("typed", ["takes/Anna\\ App", '"takes/Anna App', "takes/An"])
def test_a_name_with_blanks_is_completed_however_it_is_typed(desk: Path, typed: str) -> None:
    assert completed(desk, "grade", "row.txt", typed) == {
        "takes/Anna Appleby - take 1.mid",
        "takes/Anna Appleby - take 2.mid",
    }


@pytest.mark.parametrize("shell", SHELLS)
def test_there_is_a_script_for_each_shell(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert all(name in script for name in COMMANDS)
    assert "concert-ready" in script
    assert "AUTOMATICALLY GENERATED" in script


def test_an_unknown_shell_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "cmd"]) == 2
    assert "bash" in capsys.readouterr().err


def test_without_the_library_its_name_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "shtab", None)
    assert main(["completion", "bash"]) == 2
    assert capsys.readouterr().err == (
        "evaluator: Completion needs the package shtab, which is not installed. "
        "Install it with: pip install shtab\n"
    )
