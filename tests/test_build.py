"""When is the kernel of a checkout compiled anew? When something that it is made of is newer."""

import importlib.util
import os
import sys
from pathlib import Path
from types import ModuleType
from unittest import mock

import pytest

ROOT = Path(__file__).parents[1]
BUILDS_WITH = (
    *("Cython.Build", "hatchling.builders.hooks.plugin.interface", "setuptools"),
    *("setuptools.command.build_ext", "setuptools.errors"),
)
"""What is there only while the program is installed."""
BEFORE, SAME, AFTER = 1000, 2000, 3000
"""Seconds: when a file was written, beside a kernel of `SAME`."""


@pytest.fixture(scope="module")
def hook() -> ModuleType:
    spec = importlib.util.spec_from_file_location("hook", ROOT / "hatch_build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    with mock.patch.dict(sys.modules, {name: mock.MagicMock() for name in BUILDS_WITH}):
        spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("source", "recipe", "kernels", "fresh"),
    [
        (BEFORE, BEFORE, ["kernel.abi3.so"], True),
        (SAME, BEFORE, ["kernel.abi3.so"], True),
        (AFTER, BEFORE, ["kernel.abi3.so"], False),
        (BEFORE, AFTER, ["kernel.abi3.so"], False),
        (BEFORE, BEFORE, [], False),
        (BEFORE, BEFORE, ["kernel.cpython-311-x86_64-linux-gnu.so"], False),
    ],
)
def test_a_kernel_is_kept_that_is_no_older_than_what_it_is_made_of(
    hook: ModuleType, tmp_path: Path, source: int, recipe: int, kernels: list[str], fresh: bool
) -> None:
    folder = tmp_path / "evaluator" / "follow"
    folder.mkdir(parents=True)
    written = {tmp_path / hook.SOURCE: source, tmp_path / "hatch_build.py": recipe}
    written |= {folder / name: SAME for name in kernels}
    for path, when in written.items():
        path.touch()
        os.utime(path, (when, when))
    assert hook._is_fresh(folder, tmp_path) is fresh
