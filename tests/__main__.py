"""The test command: `python -m tests` runs every check in order and stops at the first failure.

Words after the command go to pytest, which then runs alone: `python -m tests -m long` chooses tests, and the checks
of the source were made by the command without words.
"""

import importlib.util
import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def script(name: str) -> str:
    """Where this interpreter's own copy of a tool is, so that no other one is picked up."""
    return str(Path(sysconfig.get_path("scripts")) / name)


def steps(extra: list[str]) -> list[tuple[str, list[str]]]:
    """Each step's name and command, in order; pytest comes last so that its summary does too."""
    python = sys.executable
    tests = [python, "-m", "pytest", "-q", "-n", "auto", "--dist", "worksteal", *extra]
    if extra:
        return [("tests", tests)]
    return [
        ("lint", [python, "-m", "ruff", "check", "."]),
        ("format", [python, "-m", "ruff", "format", "--check", "."]),
        ("types", [python, "-m", "mypy"]),
        ("imports", [script("lint-imports")]),
        ("tests", tests),
    ]


def browser_steps() -> list[tuple[str, list[str]]]:
    """On a CI machine without Chromium, the distribution's own is installed first; elsewhere nothing is.

    There a missing browser makes the page tests skip, listed; on CI it makes them fail.
    """
    there = any(shutil.which(name) for name in ("chromium", "chromium-browser"))
    apt = shutil.which("apt-get")
    if there or apt is None or not os.environ.get("CI"):
        return []
    return [
        ("browser list", [apt, "update", "-q"]),
        ("browser", [apt, "install", "-y", "-q", "--no-install-recommends", "chromium"]),
    ]


def main(extra: list[str]) -> int:
    """Run the steps; return the first code that is not 0."""
    missing = [n for n in ("ruff", "mypy", "pytest") if importlib.util.find_spec(n) is None]
    if missing:
        print(f"not installed: {', '.join(missing)}. Try: pip install -e '.[test]'", flush=True)
        return 2
    for name, command in browser_steps() + steps(extra):
        print(f"== {name}", flush=True)
        code = subprocess.run(command, cwd=ROOT, check=False).returncode
        if code != 0:
            print(f"== {name} failed (code {code}); the steps after it were not run", flush=True)
            return code
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
