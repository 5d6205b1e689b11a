"""The mutants of a module: found unit by unit, each with an id that outlives edits elsewhere.

A unit is a function or method, or what stands outside them: a constant of the module, a class's fields.
An id is `room.module/unit/operator-number@hash`; the hash is of the unit's own code (its docstring and
comments left out), so an edited unit's ids change and no others do.
"""

from __future__ import annotations

import ast
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import CodeType

from tests.mutants.operators import Fault, faults

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("mechanics", "drives")
SEED = "evener mutants 1"

Unit = tuple[str, ast.AST]


@dataclass(frozen=True)
class Mutant:
    """One fault of one module, as a record without the tree."""

    module: str  # "mechanics.gears"
    unit: str
    operator: str
    number: int
    hash: str
    line: int
    words: str

    @property
    def id(self) -> str:
        """What a table calls it."""
        return f"{self.module}/{self.unit}/{self.operator}-{self.number}@{self.hash}"


def modules() -> list[str]:
    """Every module of the two rooms that holds code, as "mechanics.gears"."""
    found = [p for room in ROOMS for p in sorted((ROOT / "explorer" / room).glob("*.py"))]
    return [f"{p.parent.name}.{p.stem}" for p in found if p.stem != "__init__"]


def path_of(module: str) -> Path:
    """The module's file."""
    return ROOT / "explorer" / f"{module.replace('.', '/')}.py"


def source_of(module: str) -> str:
    """The module's text."""
    return path_of(module).read_text(encoding="utf-8")


def units(tree: ast.Module) -> Iterator[Unit]:
    """Name and node of each unit, in order; a name that returns gets a number."""
    seen: dict[str, int] = {}
    for name, node in _units(tree):
        seen[name] = seen.get(name, 0) + 1
        yield (name if seen[name] == 1 else f"{name}#{seen[name]}"), node


def _units(tree: ast.Module) -> Iterator[Unit]:
    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            yield node.name, node
            for part in node.body:
                if isinstance(part, ast.FunctionDef):
                    yield f"{node.name}.{part.name}", part
        elif isinstance(node, ast.FunctionDef):
            yield node.name, node
        else:
            yield _bound(node), node


def _bound(node: ast.stmt) -> str:
    """What a statement outside functions gives a value to."""
    targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
    names = [ast.unparse(t) for t in targets if t is not None]
    return names[0] if names else "module"


def hash_of(node: ast.AST) -> str:
    """Six digits of a unit's code, without docstrings, and without a class's methods."""
    bodies = [(n, n.body) for n in ast.walk(node) if isinstance(getattr(n, "body", None), list)]
    for inner, body in bodies:
        inner.body = [n for n in body if not _is_text(n)]
    if isinstance(node, ast.ClassDef):
        node.body = [n for n in node.body if not isinstance(n, ast.FunctionDef)]
    told = ast.dump(node)
    for inner, body in bodies:  # a copy of the node would take longer than all the rest
        inner.body = body
    return hashlib.sha256(told.encode()).hexdigest()[:6]


def _is_text(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    )


def listed(text: str, module: str) -> Iterator[tuple[Mutant, ast.Module, Fault]]:
    """Every mutant of a module's text, with the tree and the fault that makes it.

    The fault may be put in once; the tree is spoiled by it.
    """
    tree = ast.parse(text)
    for unit, node in units(tree):
        counts: dict[str, int] = {}
        found = list(faults(node, inside=not isinstance(node, ast.ClassDef)))
        digest = hash_of(node) if found else ""
        for fault in found:
            counts[fault.operator] = counts.get(fault.operator, 0) + 1
            if fault.idle:
                continue
            number = counts[fault.operator]
            yield (
                Mutant(module, unit, fault.operator, number, digest, fault.line, fault.words),
                tree,
                fault,
            )


@cache
def mutants_of(module: str) -> tuple[Mutant, ...]:
    """Every mutant of a module."""
    return tuple(m for m, _, _ in listed(source_of(module), module))


def compiled(text: str, mutant: Mutant, name: str = "<mutant>") -> CodeType:
    """The module's code with the fault in."""
    for found, tree, fault in listed(text, mutant.module):
        if found.id == mutant.id:
            fault.put_in()
            return compile(tree, name, "exec", dont_inherit=True)
    raise KeyError(mutant.id)


def sample(size: int) -> list[Mutant]:
    """A fixed random part of the whole, every module in proportion to its number of mutants.

    The order is that of a hash of seed and id, so an edited function changes only its own draws.
    """
    all_of = {m: mutants_of(m) for m in modules()}
    whole = sum(len(found) for found in all_of.values())
    chosen: list[Mutant] = []
    for found in all_of.values():
        n = -(-len(found) * size // whole)
        chosen += sorted(found, key=lambda m: _draw(m.id))[:n]
    return chosen


def fresh(size: int, count: int) -> list[Mutant]:
    """Some of those that are not in the sample: tests were not written by them, so they judge the tests."""
    known = {m.id for m in sample(size)}
    rest = [m for name in modules() for m in mutants_of(name) if m.id not in known]
    return sorted(rest, key=lambda m: _draw(f"fresh {m.id}"))[:count]


def _draw(text: str) -> str:
    return hashlib.sha256(f"{SEED} {text}".encode()).hexdigest()
