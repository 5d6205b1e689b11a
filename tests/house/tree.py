"""The source tree as the house rules see it: files, parsed modules, imports."""

import ast
import os
import subprocess
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "explorer"
BY_PRODUCTS = {".git", ".venv", "__pycache__", "node_modules"}


@dataclass(frozen=True)
class Source:
    """One Python file, parsed and walked once, by the first rule that asks for it."""

    path: Path
    text: str

    @cached_property
    def tree(self) -> ast.Module:
        """The file's syntax tree."""
        return ast.parse(self.text, str(self.path))

    @cached_property
    def nodes(self) -> tuple[ast.AST, ...]:
        """Every node of the tree, in the order of `ast.walk`."""
        return tuple(ast.walk(self.tree))

    @cached_property
    def imports(self) -> list[tuple[int, str]]:
        """Line and full name of all that is imported, anywhere in the file."""
        found: list[tuple[int, str]] = []
        for node in self.nodes:
            if isinstance(node, ast.Import):
                found += [(node.lineno, alias.name) for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                base = "." * node.level + (node.module or "")
                found += [(node.lineno, f"{base}.{alias.name}") for alias in node.names]
        return found

    @cached_property
    def calls(self) -> list[tuple[int, str]]:
        """Line and dotted name of every call."""
        return [(n.lineno, dotted(n.func)) for n in self.nodes if isinstance(n, ast.Call)]

    @property
    def name(self) -> str:
        """Path from the root with forward slashes, as messages show it."""
        return self.path.relative_to(ROOT).as_posix()

    @property
    def module(self) -> str:
        """Dotted module name."""
        parts = self.path.relative_to(ROOT).with_suffix("").parts
        return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def read(path: Path) -> Source:
    """Read one file."""
    return Source(path, path.read_text(encoding="utf-8"))


def parsed(text: str) -> Source:
    """A made-up file, to try a rule on."""
    return Source(ROOT / "explorer" / "made_up.py", text)


@cache
def package_sources() -> tuple[Source, ...]:
    """Every module of the package; kept, as each takes longer to parse than to judge."""
    return tuple(read(p) for p in sorted(PACKAGE.rglob("*.py")))


@cache
def sources_of_tests() -> tuple[Source, ...]:
    """Every Python file of the tests, likewise."""
    return tuple(read(p) for p in sorted((ROOT / "tests").rglob("*.py")))


def tracked_files() -> list[Path]:
    """Files that git keeps; outside a checkout, every file that is not a by-product."""
    if (ROOT / ".git").exists():
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True
        ).stdout
        paths = [ROOT / os.fsdecode(name) for name in listed.split(b"\0") if name]
    else:
        paths = [
            p for p in ROOT.rglob("*") if not BY_PRODUCTS & set(p.relative_to(ROOT).parts[:-1])
        ]
    return sorted(p for p in paths if p.is_file())


def dotted(node: ast.expr) -> str:
    """`np.linalg.inv` for such an expression; empty for anything else."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        left = dotted(node.value)
        return f"{left}.{node.attr}" if left else ""
    return ""
