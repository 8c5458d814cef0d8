"""What is mutated, which tests judge it, and the copy of both in which that happens."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SERVER = Path(__file__).with_name("serve.py")
QUICK_SERVER = Path(__file__).with_name("in_place.py")


@dataclass(frozen=True)
class Project:
    """A package with its tests, by paths below `root`."""

    root: Path
    package: str
    #: Parts of the package that are not mutated.
    left_out: tuple[str, ...]
    #: Folders and files whose tests judge a mutant.
    tests: tuple[str, ...]
    #: Everything that the tests need beside the package.
    needed: tuple[str, ...]
    #: Further arguments for pytest.
    arguments: tuple[str, ...] = ()
    #: Tests that notice most changes for their time, by how their names begin: they come early.
    early: tuple[str, ...] = ()
    #: Test files that read the package's own text, whose lines they never reach: they judge what survives the others.
    reading: tuple[str, ...] = ()

    def test_files(self) -> list[str]:
        """Return the files with tests, below the root."""
        found: list[Path] = []
        for name in self.tests:
            path = self.root / name
            found += [path] if path.is_file() else sorted(path.rglob("test_*.py"))
        return [path.relative_to(self.root).as_posix() for path in found]

    def copy_to(self, folder: Path) -> None:
        """Copy the package and what its tests need."""
        for name in dict.fromkeys((self.package, *self.needed)):
            source, target = self.root / name, folder / name
            if source.is_dir():
                shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__", "node_modules"))
            else:
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(source, target)

    def key_of(self, test_file: str) -> str:
        """Return a hash of all that a test file's measured reach depends on."""
        tests = self.root / Path(self.tests[0]).parts[0]
        shared = [path for path in sorted(tests.rglob("*.py")) if not path.name.startswith("test_")]
        own = [path for path in shared if "mutation" not in path.parts]
        return digest([*sorted((self.root / self.package).rglob("*.py")), *own, SERVER, self.root / test_file])


def digest(paths: Iterable[Path]) -> str:
    """Return a hash of files' contents, in order."""
    found = hashlib.sha256()
    for path in paths:
        found.update(path.read_bytes())
    return found.hexdigest()


class Server:
    """A process that runs tests in a copy of the project, asked one question after another."""

    def __init__(self, folder: Path, script: Path, arguments: Iterable[str] = ()) -> None:
        self.lock = threading.Lock()
        command = [sys.executable, str(script), *arguments]
        self.process = subprocess.Popen(command, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def ask(self, question: dict[str, Any]) -> dict[str, Any]:
        """Return the process's answer to one question.

        Raises
        ------
        RuntimeError
            If the process has ended.
        """
        assert self.process.stdin is not None
        with self.lock:
            self.process.stdin.write(json.dumps(question) + "\n")
            self.process.stdin.flush()
            return self.hear()

    def hear(self) -> dict[str, Any]:
        """Return what the process says next."""
        assert self.process.stdout is not None
        answer = self.process.stdout.readline()
        if not answer:
            raise RuntimeError("The process that runs the tests has ended.")
        return dict(json.loads(answer))

    def close(self) -> None:
        """Let the process come to its end."""
        self.process.communicate(timeout=60)


class Copy:
    """A copy of the project in a folder of its own, with the processes that run tests in it."""

    def __init__(self, project: Project, folder: Path) -> None:
        self.project = project
        self.folder = folder
        project.copy_to(folder)
        self.server = Server(folder, SERVER)
        self.quick: Server | None = None

    def ask(self, question: dict[str, Any]) -> dict[str, Any]:
        """Return the answer of the process that imports everything anew for a question."""
        return self.server.ask(question)

    def collect(self) -> int:
        """Start the process that has everything imported already, and return how many tests it found."""
        arguments = (self.project.package, *self.project.arguments, *self.project.test_files())
        self.quick = Server(self.folder, QUICK_SERVER, arguments)
        return int(self.quick.hear()["tests"])

    def ask_in_place(self, path: str, source: str, tests: dict[str, int], most_seconds: float) -> dict[str, Any]:
        """Return how tests end with a module's functions exchanged; code 6 where that cannot be done."""
        if self.quick is None:
            return {"code": 6}
        return self.quick.ask({"path": path, "source": source, "tests": tests, "most_seconds": most_seconds})

    def preload(self, modules: Iterable[str]) -> None:
        """Let the server import libraries; none of the project's own modules, which a mutant may change."""
        own = {Path(name).parts[0].removesuffix(".py") for name in (self.project.package, *self.project.needed)}
        library = [name for name in modules if name.partition(".")[0] not in {*own, "conftest", "__main__"}]
        self.ask({"do": "preload", "modules": library})

    def write(self, path: str, source: str) -> None:
        """Put a module's text in place, without a compiled form that could outlive it."""
        target = self.folder / path
        target.write_text(source, "utf-8")
        shutil.rmtree(target.parent / "__pycache__", ignore_errors=True)

    def close(self) -> None:
        """Let the processes come to their end."""
        self.server.close()
        if self.quick is not None:
            self.quick.close()
