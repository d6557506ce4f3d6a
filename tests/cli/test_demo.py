"""`evaluator demo`."""

from pathlib import Path

import pytest

from evaluator.cli import demo
from evaluator.cli.files import FileError
from tests.cli.commands import evaluator


def test_the_built_in_take_is_graded_from_any_folder(tmp_path: Path) -> None:
    done = evaluator(tmp_path, "demo")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Kettle Lane (")
    assert "The song, bar by bar" in done.stdout
    assert "Your own:  evaluator grade CHART TAKE" in done.stdout


def test_files_below_the_current_folder_are_named_from_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert demo._from_here(tmp_path / "demo" / "a.mid", "x.mid") == Path("demo/a.mid")
    assert demo._from_here(Path("/elsewhere/a.mid"), "x.mid") == Path("/elsewhere/a.mid")


def test_in_a_checkout_the_installed_files_are_named_as_those_of_the_checkout(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else the commands that the report names would be longer than the README's."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "charts").mkdir()
    (tmp_path / "installed.txt").write_text("title: A")
    (tmp_path / demo.CHART).write_text("title: A")
    assert demo._from_here(tmp_path / "installed.txt", demo.CHART) == Path(demo.CHART)
    (tmp_path / demo.CHART).write_text("title: Another")
    assert demo._from_here(tmp_path / "installed.txt", demo.CHART) == Path("installed.txt")


def test_what_is_installed_goes_before_the_checkout(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "evaluator"
    for folder in (package / "demo", tmp_path):
        (folder / "charts").mkdir(parents=True)
        (folder / demo.CHART).write_text("title: A")
    monkeypatch.setattr(demo, "__file__", str(package / "cli" / "demo.py"))
    assert demo._built_in(demo.CHART) == package / "demo" / demo.CHART
    (package / "demo" / demo.CHART).unlink()
    assert demo._built_in(demo.CHART) == tmp_path / demo.CHART


def test_a_broken_installation_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(demo, "__file__", str(tmp_path / "evaluator" / "cli" / "demo.py"))
    with pytest.raises(FileError, match="reinstall"):
        demo._built_in(demo.TAKE)
