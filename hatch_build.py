"""Compiles the follower's step when the program is installed or packed.

Cython makes C++ of `kernel.pyx`, and a compiler the `kernel` that lies beside it, in a checkout
as well as in a wheel. It keeps to Python's stable interface of 3.11, so that one wheel serves
every later Python of a platform. Where there is no compiler the program is installed without,
and follows more slowly; what Cython cannot read is a mistake, and nothing is installed.
"""

import os
import shutil
import sysconfig
import tempfile
from pathlib import Path
from typing import Any

from Cython.Build import cythonize
from hatchling.builders.hooks.plugin.interface import BuildHookInterface
from setuptools import Distribution, Extension
from setuptools.command.build_ext import build_ext
from setuptools.errors import BaseError, CCompilerError

NAME = "evaluator.follow.kernel"
SOURCE = "evaluator/follow/kernel.pyx"
STABLE_SINCE, STABLE_VERSION = "cp311", "0x030B0000"


class Kernel(BuildHookInterface[Any]):
    """Adds the kernel to a wheel, and to the checkout that it is built from."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        folder = Path(self.root, *NAME.split(".")[:-1])
        if version == "editable" and _is_fresh(folder, Path(self.root)):
            return
        for old in (*folder.glob("kernel*.so"), *folder.glob("kernel*.pyd")):
            old.unlink()
        try:
            kernel = _compiled(Path(self.root), folder)
        except (BaseError, CCompilerError, OSError) as error:
            self.app.display_warning(f"The follower's kernel is left out: {error}")
            return
        platform = sysconfig.get_platform().replace("-", "_").replace(".", "_")
        build_data["pure_python"] = False
        build_data["tag"] = f"{STABLE_SINCE}-abi3-{platform}"
        build_data["artifacts"].append(kernel.relative_to(self.root).as_posix())


def _is_fresh(folder: Path, root: Path) -> bool:
    """Whether the checkout has a kernel that is no older than what it is made of."""
    made = [kernel.stat().st_mtime for kernel in folder.glob("kernel.abi3.*")]
    of = [(root / name).stat().st_mtime for name in (SOURCE, "hatch_build.py")]
    return bool(made) and min(made) >= max(of)


def _compiled(root: Path, folder: Path) -> Path:
    """Compile elsewhere, so that no half of a file is ever imported."""
    # Products are not to be joined with sums: the numbers are those of numpy's step.
    flags = ["-ffp-contract=off", "-g0"] if os.name == "posix" else []
    kernel = Extension(
        NAME,
        [SOURCE],
        language="c++",
        py_limited_api=True,
        define_macros=[("Py_LIMITED_API", STABLE_VERSION)],
        extra_compile_args=flags,
    )
    here = Path.cwd()
    with tempfile.TemporaryDirectory() as scratch:
        os.chdir(root)
        try:
            modules = cythonize([kernel], build_dir=scratch, quiet=True)
            command = build_ext(Distribution({"name": "kernel", "ext_modules": modules}))
            command.build_lib = command.build_temp = scratch
            command.ensure_finalized()
            command.run()
        finally:
            os.chdir(here)
        made = Path(command.get_ext_fullpath(NAME))
        arriving = folder / f".{made.name}"
        shutil.copyfile(made, arriving)
    return arriving.replace(folder / made.name)
